import { Document, G, Line, Page, Rect, renderToBuffer, StyleSheet, Svg, Text, View } from '@react-pdf/renderer';
import { MODULES_PER_SIDE, whiteModules } from '@/lib/photo/markerCodes';
import { CHECK_LINE_MM, type MatGeometry, type MatSize, matGeometry } from '@/lib/photo/matGeometry';
import { PDF_FONT, registerPdfFont } from './pdfFont';

const POINTS_PER_MM = 72 / 25.4;
/** Fixed, so that the same mat is the same file. */
const DATED = new Date('2000-01-01T00:00:00Z');

/**
 * The spread mat as a one-page PDF at true size: marks, neutral patches, corners of the field, a check line of 100 mm and
 * short instructions. Everything but text is vector drawing from the same geometry that photos are read with.
 *
 * Patches carry the geometry's sRGB codes; what they become on paper is the printer's doing.
 *
 * @returns the PDF's bytes
 */
export async function matSheetPdf(size: MatSize): Promise<Uint8Array> {
	registerPdfFont();
	return renderToBuffer(<MatSheet geometry={matGeometry(size)} />);
}

function MatSheet({ geometry }: { geometry: MatGeometry }) {
	const { sheetWidthMm, sheetHeightMm, size } = geometry;
	const page = { width: pt(sheetWidthMm), height: pt(sheetHeightMm) };
	return (
		<Document title={`Deckside spread mat ${size}`} creationDate={DATED} modificationDate={DATED}>
			<Page size={[page.width, page.height]} style={styles.page}>
				<Svg
					width={page.width}
					height={page.height}
					viewBox={`0 0 ${sheetWidthMm} ${sheetHeightMm}`}
					style={styles.drawing}
				>
					{geometry.fiducials.map((f) => (
						<Fiducial key={f.id} {...f} />
					))}
					{geometry.patches.map(({ code, ...rect }) => (
						<Rect key={code} {...rect} fill={`#${code.toString(16).padStart(2, '0').repeat(3)}`} />
					))}
					<FieldCorners geometry={geometry} />
					<CheckLine geometry={geometry} />
				</Svg>
				<Words geometry={geometry} />
			</Page>
		</Document>
	);
}

function Fiducial({ id, x, y, width }: { id: number; x: number; y: number; width: number }) {
	const module = width / MODULES_PER_SIDE;
	return (
		<G>
			<Rect x={x} y={y} width={width} height={width} fill="#000000" />
			{whiteRects(id, x, y, module).map((white) => (
				<Rect
					key={`${white.x} ${white.y}`}
					x={white.x}
					y={white.y}
					width={white.width}
					height={module}
					fill="#ffffff"
				/>
			))}
		</G>
	);
}

/** White runs of a mark's rows as rectangles one module high. */
function whiteRects(id: number, x: number, y: number, module: number) {
	return whiteModules(id).flatMap((modules, row) =>
		whiteRuns(modules).map(([from, to]) => ({
			x: x + from * module,
			y: y + row * module,
			width: (to - from) * module,
		})),
	);
}

/** Runs of white modules in a row, first and one past the last: one rectangle each, so that no hair line shows between. */
function whiteRuns(modules: readonly boolean[]): [number, number][] {
	const runs: [number, number][] = [];
	modules.forEach((white, i) => {
		if (!white) return;
		const last = runs.at(-1);
		if (last?.[1] === i) last[1] = i + 1;
		else runs.push([i, i + 1]);
	});
	return runs;
}

/** Angle marks just outside the field's corners: light enough not to be taken for a piece. */
function FieldCorners({ geometry: { field } }: { geometry: MatGeometry }) {
	const off = 1;
	const arm = 4;
	const corners = [
		[field.x - off, field.y - off, 1, 1],
		[field.x + field.width + off, field.y - off, -1, 1],
		[field.x + field.width + off, field.y + field.height + off, -1, -1],
		[field.x - off, field.y + field.height + off, 1, -1],
	] as const;
	return (
		<G>
			{corners.map(([x, y, right, down]) => (
				<G key={`${right} ${down}`} stroke="#b0b0b0" strokeWidth={0.2}>
					<Line x1={x} y1={y} x2={x + right * arm} y2={y} />
					<Line x1={x} y1={y} x2={x} y2={y + down * arm} />
				</G>
			))}
		</G>
	);
}

function CheckLine({ geometry: { checkLine } }: { geometry: MatGeometry }) {
	const { from, to } = checkLine;
	const tick = 1.5;
	return (
		<G stroke="#000000" strokeWidth={0.2}>
			<Line x1={from.x} y1={from.y} x2={to.x} y2={to.y} />
			{[from, to].map((end) => (
				<Line key={end.x} x1={end.x} y1={end.y - tick} x2={end.x} y2={end.y + tick} />
			))}
		</G>
	);
}

function Words({ geometry }: { geometry: MatGeometry }) {
	const { checkLine, fiducials, patches, size, field } = geometry;
	const gap = 3;
	const [, , lowerRight, lowerLeft] = fiducials as readonly [unknown, unknown, Place, Place]; // four marks
	const firstPatch = patches[0] as Place; // five patches
	const lastPatch = patches[4] as Place;
	const left = lowerLeft.x + lowerLeft.width + gap;
	const right = lastPatch.x + lastPatch.width + gap;
	return (
		<>
			<At x={checkLine.from.x} y={checkLine.from.y + 1.5} width={CHECK_LINE_MM} centred>
				{`This line is ${CHECK_LINE_MM} mm when the sheet is printed at its true size. If not, enter what you measure.`}
			</At>
			<At x={left} y={lowerLeft.y + 1} width={firstPatch.x - gap - left}>
				{`Deckside spread mat, ${size}. Print at 100 %, matt white paper, greyscale. Field ${field.width.toFixed(0)} × ${field.height.toFixed(0)} mm.`}
			</At>
			<At x={right} y={lowerLeft.y + 1} width={lowerRight.x - gap - right}>
				Lay flat. Spread one layer between the corner angles. Keep marks and grey squares clean and free of shadow.
			</At>
		</>
	);
}

type Place = { readonly x: number; readonly y: number; readonly width: number };

function At({
	x,
	y,
	width,
	centred = false,
	children,
}: {
	x: number;
	y: number;
	width: number;
	centred?: boolean;
	children: string;
}) {
	return (
		<View style={[styles.words, { left: pt(x), top: pt(y), width: pt(width) }]}>
			<Text style={centred ? styles.centred : {}}>{children}</Text>
		</View>
	);
}

function pt(mm: number): number {
	return mm * POINTS_PER_MM;
}

const styles = StyleSheet.create({
	page: { fontFamily: PDF_FONT, fontSize: 5.5, color: '#404040', backgroundColor: '#ffffff' },
	drawing: { position: 'absolute', left: 0, top: 0 },
	words: { position: 'absolute' },
	centred: { textAlign: 'center' },
});

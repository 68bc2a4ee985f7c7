import { Circle, Document, Line, Page, Path, renderToBuffer, StyleSheet, Svg, Text, View } from '@react-pdf/renderer';
import type { ReactNode } from 'react';
import type { Estimate } from '../quantity/quantity';
import { codeSquares } from './codeSquares';
import { inPdfLetters, PDF_FONT, registerPdfFont } from './pdfFont';
import { ClassLegend, RecordPictures } from './recordPdfPictures';
import type { RecordSheet } from './recordSheet';

/** Paper that a record is printed on. */
export const RECORD_PAPERS = ['A4', 'Letter'] as const;
export type RecordPaper = (typeof RECORD_PAPERS)[number];

/** Points of a millimetre. */
const MM = 72 / 25.4;

/**
 * A record as a PDF: one page where it fits, number and first line on each.
 *
 * @param told - its words
 * @param pictures - the pictures' JPEGs by their SHA-256; one that is missing is left out
 * @param dated - when the record was issued; the same record is the same file
 * @returns the PDF's bytes
 */
export async function recordPdf(
	told: RecordSheet,
	pictures: ReadonlyMap<string, Uint8Array>,
	paper: RecordPaper,
	dated: Date,
): Promise<Uint8Array> {
	registerPdfFont();
	const sheet = await inPdfLetters(told);
	return renderToBuffer(
		<Document
			title={`Cleanliness record ${sheet.number}`}
			creationDate={dated}
			modificationDate={dated}
			creator="Deckside"
			producer="Deckside"
			language="en-GB"
		>
			<Page size={paper === 'A4' ? 'A4' : 'LETTER'} style={styles.page}>
				<RunningHead sheet={sheet} />
				<Head sheet={sheet} />
				<Facts sheet={sheet} />
				<Composition sheet={sheet} />
				<RecordPictures pictures={sheet.pictures} bytes={pictures} paper={paper} />
				{sheet.pictures.length === 0 ? null : <ClassLegend />}
				<Standings sheet={sheet} />
				<Notes sheet={sheet} />
				<CautionsAndSeal sheet={sheet} />
			</Page>
		</Document>,
	);
}

function RunningHead({ sheet }: { readonly sheet: RecordSheet }) {
	return (
		<Text
			fixed
			style={styles.running}
			render={({ pageNumber, totalPages }) =>
				`Cleanliness record ${sheet.number}, page ${pageNumber} of ${totalPages}. An estimate from photographs, not an assay.`
			}
		/>
	);
}

function Head({ sheet }: { readonly sheet: RecordSheet }) {
	const { side, path } = codeSquares(sheet.seal.qrText);
	return (
		<View style={styles.head}>
			<View style={styles.grow}>
				<Text style={styles.title}>
					{sheet.title} {sheet.number}
				</Text>
				<Text style={styles.lead}>{sheet.lead}</Text>
				{sheet.notices.map((notice) => (
					<Text key={notice} style={styles.notice}>
						{notice}
					</Text>
				))}
			</View>
			<View style={styles.code}>
				<Svg width={22 * MM} height={22 * MM} viewBox={`0 0 ${side} ${side}`}>
					<Path d={path} fill="#000000" />
				</Svg>
				<Text style={styles.codeText}>{sheet.seal.code}</Text>
			</View>
		</View>
	);
}

function Facts({ sheet }: { readonly sheet: RecordSheet }) {
	return (
		<View style={styles.facts}>
			{sheet.facts.map(({ name, text }) => (
				<View key={name} style={styles.fact} wrap={false}>
					<Text style={styles.factName}>{name}</Text>
					<Text style={styles.grow}>{text}</Text>
				</View>
			))}
		</View>
	);
}

function Composition({ sheet }: { readonly sheet: RecordSheet }) {
	return (
		<View wrap={false}>
			<Text style={styles.heading}>Composition</Text>
			<View style={styles.tableHead}>
				<Text style={styles.part}>Part</Text>
				<Text style={styles.share}>Share of the dry mass (range)</Text>
				<Text style={styles.plot}>0 to 100 %</Text>
				<Text style={styles.uncertainty}>Standard uncertainty, points</Text>
			</View>
			{sheet.composition.map(({ key, name, share, u, estimate }) => (
				<View key={key} style={styles.row}>
					<Text style={styles.part}>{name}</Text>
					<Text style={[styles.share, styles.strong]}>{share}</Text>
					<View style={styles.plot}>
						<RangeLine estimate={estimate} />
					</View>
					<Text style={styles.uncertainty}>{u}</Text>
				</View>
			))}
			<Text style={styles.small}>
				{sheet.coverage} Free copper is the part of copper that is not locked in insulation.
			</Text>
		</View>
	);
}

const PLOT_WIDTH = 54 * MM;

/** A share on the axis from nothing to all: line for the range, dot for the best value; drawing only. */
function RangeLine({ estimate }: { readonly estimate: Estimate }) {
	const x = (share: number) => 3 + (PLOT_WIDTH - 6) * Math.min(1, Math.max(0, share));
	const middle = 4.5;
	return (
		<Svg width={PLOT_WIDTH} height={9}>
			<Line x1={x(0)} y1={middle} x2={x(1)} y2={middle} stroke="#999999" strokeWidth={0.5} />
			{[0, 0.25, 0.5, 0.75, 1].map((tick) => (
				<Line key={tick} x1={x(tick)} y1={middle - 2} x2={x(tick)} y2={middle + 2} stroke="#999999" strokeWidth={0.5} />
			))}
			<Line x1={x(estimate.low)} y1={middle} x2={x(estimate.high)} y2={middle} stroke="#000000" strokeWidth={1.6} />
			{estimate.belowDetectionLimit ? null : <Circle cx={x(estimate.value)} cy={middle} r={2.4} fill="#000000" />}
		</Svg>
	);
}

function Standings({ sheet }: { readonly sheet: RecordSheet }) {
	if (sheet.standings.length === 0) return null;
	return (
		<View>
			<Text style={styles.heading}>Against the limits</Text>
			<Text>{sheet.rule}</Text>
			{sheet.standings.map(({ title, lines, notes }) => (
				<View key={title} style={styles.standing} wrap={false}>
					<Text style={styles.strong}>{title}</Text>
					{lines.length === 0 ? null : (
						<View style={styles.tableHead}>
							<Text style={styles.limit}>Limit</Text>
							<Text style={styles.measured}>Measured (range)</Text>
							<Text style={styles.chance}>Chance to meet it</Text>
							<Text style={styles.verdict}>Verdict</Text>
						</View>
					)}
					{lines.map(({ limit, measured, chance, mark, verdict }) => (
						<View key={limit} style={styles.row}>
							<Text style={styles.limit}>{limit}</Text>
							<Text style={styles.measured}>{measured}</Text>
							<Text style={styles.chance}>{chance}</Text>
							<Text style={[styles.verdict, styles.strong]}>
								{mark} {verdict}
							</Text>
						</View>
					))}
					<Text style={styles.small}>{notes.join(' ')}</Text>
				</View>
			))}
		</View>
	);
}

function Notes({ sheet }: { readonly sheet: RecordSheet }) {
	return (
		<>
			<Block title="Method" lines={sheet.method} />
			<Block title="Checks by hand" lines={sheet.checks} />
			<Block title="Corrections by hand" lines={sheet.corrections} />
			<Block title="Warnings" lines={sheet.warnings} />
		</>
	);
}

/** Lines of a block that go over to the next page together; a longer one is broken. */
const MOST_TOGETHER = 10;

/** Lines of a longer block that stay with its title. */
const FEWEST_TOGETHER = 2;

function Block({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
	// a title never stands at the foot of a page with its lines on the next
	const together = lines.length > MOST_TOGETHER ? FEWEST_TOGETHER : lines.length;
	return (
		<>
			<View style={styles.block} wrap={false}>
				<Text style={styles.blockTitle}>{title}</Text>
				<View style={styles.grow}>
					{lines.slice(0, together).map((line) => (
						<Text key={line}>{line}</Text>
					))}
				</View>
			</View>
			{lines.slice(together).map((line) => (
				<View key={line} style={styles.blockGoesOn}>
					<Text style={styles.blockTitle} />
					<Text style={styles.grow}>{line}</Text>
				</View>
			))}
		</>
	);
}

/** Kept together: a seal alone on a page seals nothing in sight. */
function CautionsAndSeal({ sheet }: { readonly sheet: RecordSheet }) {
	return (
		<View wrap={false}>
			<Block title="Cautions" lines={[sheet.notLookedFor, ...sheet.cautions]} />
			<SealLines sheet={sheet} />
		</View>
	);
}

function SealLines({ sheet }: { readonly sheet: RecordSheet }) {
	return (
		<View style={styles.seal}>
			<Strong>Seal</Strong>
			{sheet.seal.lines.map((line) => (
				<Text key={line} style={styles.sealText}>
					{line}
				</Text>
			))}
			<Text style={styles.small}>
				The data file and the original photos can be checked against this seal. End of record {sheet.number}.
			</Text>
		</View>
	);
}

function Strong({ children }: { readonly children: ReactNode }) {
	return <Text style={styles.strong}>{children}</Text>;
}

const styles = StyleSheet.create({
	page: {
		fontFamily: PDF_FONT,
		fontSize: 7.2,
		lineHeight: 1.28,
		color: '#000000',
		paddingTop: 14 * MM,
		paddingBottom: 13 * MM,
		paddingHorizontal: 13 * MM,
	},
	running: { position: 'absolute', top: 8 * MM, left: 13 * MM, right: 13 * MM, fontSize: 6.6, color: '#404040' },
	head: { flexDirection: 'row', gap: 8, borderBottom: '1pt solid #000000', marginBottom: 4, paddingTop: 2 },
	grow: { flex: 1 },
	title: { fontSize: 15, fontWeight: 'bold', lineHeight: 1.2, marginBottom: 5 },
	lead: { marginBottom: 3 },
	notice: { fontWeight: 'bold', border: '0.7pt solid #000000', padding: 2.5, marginBottom: 3 },
	code: { width: 24 * MM, alignItems: 'center', marginTop: -8 },
	codeText: { fontSize: 7.4, fontWeight: 'bold', marginBottom: 2 },
	facts: { flexDirection: 'row', flexWrap: 'wrap' },
	fact: { width: '50%', flexDirection: 'row', paddingRight: 8, marginBottom: 1.5 },
	factName: { width: 46, color: '#404040' },
	heading: { fontSize: 9.5, fontWeight: 'bold', lineHeight: 1.2, marginTop: 6, marginBottom: 2 },
	strong: { fontWeight: 'bold' },
	small: { fontSize: 6.8, color: '#303030', marginTop: 1.5 },
	tableHead: { flexDirection: 'row', borderBottom: '0.6pt solid #000000', color: '#404040', fontSize: 6.8 },
	row: { flexDirection: 'row', borderBottom: '0.3pt solid #bbbbbb', paddingVertical: 1, alignItems: 'center' },
	part: { width: '16%' },
	share: { width: '34%' },
	plot: { width: PLOT_WIDTH },
	uncertainty: { flex: 1, textAlign: 'right' },
	// kept apart from what was measured: a limit that goes over to a second line would be read with it
	limit: { width: '31%', paddingRight: 8 },
	measured: { width: '26%' },
	chance: { width: '15%' },
	verdict: { flex: 1 },
	standing: { marginTop: 3 },
	block: { flexDirection: 'row', marginTop: 3 },
	blockGoesOn: { flexDirection: 'row' },
	blockTitle: { width: 88, paddingRight: 4, fontWeight: 'bold' },
	seal: { marginTop: 5, borderTop: '1pt solid #000000', paddingTop: 2 },
	sealText: { fontSize: 6.8 },
});

import { Image, Line, StyleSheet, Svg, Text, View } from '@react-pdf/renderer';
import { MATERIAL_CLASSES } from '../material/classes';
import { CLASS_STYLES, type ClassStyle, UNJUDGED_STYLE } from './classPalette';
import { type RecordSheet, scaleBarMm } from './recordSheet';
import { CLASS_NAMES } from './sentences';

/** Points of a millimetre. */
const MM = 72 / 25.4;

/**
 * Widths on paper, points: one close-up, the first whole field, the others, and what the fields stand in. They fill an A4 page's width; on the shorter Letter page
 * they are smaller, so that a record of one class still takes one page.
 */
const WIDTHS = {
	A4: { closeUp: 65 * MM, first: 49 * MM, other: 23.8 * MM, column: 49 * MM },
	Letter: { closeUp: 46 * MM, first: 28 * MM, other: 28 * MM, column: 92 * MM },
} as const;

type Pictures = RecordSheet['pictures'];

/**
 * Close-up and its outlines side by side, the whole fields beside them. Outlines of a whole field would be a blur at this size; the
 * page on screen has them.
 */
export function RecordPictures({
	pictures,
	bytes,
	paper,
}: {
	readonly pictures: Pictures;
	readonly bytes: ReadonlyMap<string, Uint8Array>;
	readonly paper: keyof typeof WIDTHS;
}) {
	const widths = WIDTHS[paper];
	const fields = pictures.filter(({ kind }) => kind === 'field');
	if (pictures.length === 0) return null;
	return (
		<View style={styles.pictures} wrap={false}>
			{pictures
				.filter(({ kind }) => kind === 'closeUp')
				.map((picture) => (
					<View key={picture.photoSha256} style={{ width: 2 * widths.closeUp + GAP }}>
						<View style={styles.pair}>
							<Picture picture={picture} jpeg={bytes.get(picture.photoSha256)} width={widths.closeUp} />
							<Picture picture={picture} jpeg={bytes.get(picture.outlinedSha256)} width={widths.closeUp} isOutlined />
						</View>
						<Text style={styles.caption}>{picture.caption}: photo, and what the program saw.</Text>
					</View>
				))}
			<View style={[styles.fields, { width: widths.column }]}>
				{fields.map((picture, place) => {
					const width = place === 0 ? widths.first : widths.other;
					return (
						<View key={picture.photoSha256} style={{ width }}>
							<Picture picture={picture} jpeg={bytes.get(picture.photoSha256)} width={width} />
							<Text style={styles.caption}>{place === 0 ? picture.caption : `Spread ${picture.spread}`}</Text>
						</View>
					);
				})}
			</View>
		</View>
	);
}

const GAP = 3;

function Picture({
	picture: { widthMm, heightMm, letters },
	jpeg,
	width,
	isOutlined = false,
}: {
	readonly picture: Pictures[number];
	readonly jpeg: Uint8Array | undefined;
	readonly width: number;
	readonly isOutlined?: boolean;
}) {
	const height = (width * heightMm) / widthMm;
	if (jpeg === undefined) return <Text style={styles.caption}>The picture is no longer on file.</Text>;
	return (
		<View style={{ width, height }}>
			<Image src={Buffer.from(jpeg)} style={{ width, height }} />
			{isOutlined
				? letters.map(({ letter, x, y }) => (
						<View key={`${x} ${y}`} style={[styles.letterBox, { left: x * width - 4.5, top: y * height - 3.5 }]}>
							<Text style={styles.letter}>{letter}</Text>
						</View>
					))
				: null}
			<ScaleBar widthMm={widthMm} width={width} />
		</View>
	);
}

function ScaleBar({ widthMm, width }: { readonly widthMm: number; readonly width: number }) {
	const lengthMm = scaleBarMm(widthMm);
	const length = (lengthMm / widthMm) * width;
	return (
		<View style={styles.scale}>
			<View style={[styles.scaleBar, { width: length }]} />
			<Text style={styles.scaleText}>{lengthMm} mm</Text>
		</View>
	);
}

/** Letters, lines and names of the classes. */
export function ClassLegend() {
	return (
		<View style={styles.legend}>
			{MATERIAL_CLASSES.map((name) => (
				<LegendEntry key={name} style={CLASS_STYLES[name]} name={CLASS_NAMES[name]} />
			))}
			<LegendEntry style={UNJUDGED_STYLE} name="Not decided" />
		</View>
	);
}

/** Width of a sample line, points, and of the lines it is made of. */
const SAMPLE = { length: 22, lines: [5, 3, 1.4] } as const;

function LegendEntry({ style, name }: { readonly style: ClassStyle; readonly name: string }) {
	const [outer, middle, inner] = SAMPLE.lines;
	const dash = style.dash
		.split(' ')
		.filter(Boolean)
		.map((part) => String(Number(part) * inner))
		.join(' ');
	const line = { x1: 0, x2: SAMPLE.length, y1: 4, y2: 4 };
	return (
		<View style={styles.legendEntry}>
			<Svg width={SAMPLE.length} height={8}>
				<Line {...line} stroke="#ffffff" strokeWidth={outer} />
				<Line {...line} stroke="#000000" strokeWidth={middle} />
				<Line {...line} stroke={style.colour} strokeWidth={inner} {...(dash === '' ? {} : { strokeDasharray: dash })} />
			</Svg>
			<Text>
				{style.letter} {name}
			</Text>
		</View>
	);
}

const styles = StyleSheet.create({
	pictures: { flexDirection: 'row', gap: 2 * GAP, marginTop: 5 },
	fields: { flexDirection: 'row', flexWrap: 'wrap', columnGap: GAP, rowGap: 1 },
	pair: { flexDirection: 'row', gap: GAP },
	caption: { fontSize: 6, color: '#303030' },
	letterBox: { position: 'absolute', width: 9, backgroundColor: '#ffffff', opacity: 0.85 },
	letter: { fontSize: 5, lineHeight: 1.25, textAlign: 'center' },
	scale: {
		position: 'absolute',
		left: 2,
		bottom: 2,
		paddingHorizontal: 1.5,
		backgroundColor: '#ffffff',
	},
	scaleBar: { height: 1.6, backgroundColor: '#000000', marginTop: 1.5 },
	scaleText: { fontSize: 5, lineHeight: 1.2 },
	legend: { flexDirection: 'row', flexWrap: 'wrap', columnGap: 10, fontSize: 6.6, marginTop: 1 },
	legendEntry: { flexDirection: 'row', gap: 3, alignItems: 'center' },
});

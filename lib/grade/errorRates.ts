import { z } from 'zod';
import { MATERIAL_CLASSES } from '../material/classes';
import { quantileOf } from '../quantity/estimateOf';
import { perName } from '../quantity/perName';

/** True classes and called classes of an error table: the bare surface first, then the material classes. */
const SURFACE_AND_CLASSES = ['background', ...MATERIAL_CLASSES] as const;
export const ERROR_CLASSES = SURFACE_AND_CLASSES.length;
/** The classes that are copper, bright or tinned, by their place among these. */
export const COPPER_CODES: readonly number[] = [
	SURFACE_AND_CLASSES.indexOf('brightCopper'),
	SURFACE_AND_CLASSES.indexOf('tinnedCopper'),
];

const row = z.array(z.number().min(0)).length(ERROR_CLASSES);
const gain = z.object({
	logMean: z.number(),
	logSd: z.number().min(0),
	logSdMinor: z.number().min(0).optional(),
	logSdTrace: z.number().min(0).optional(),
	logMeanMinor: z.number().optional(),
});
/** ln of (true area over area seen): its middle, and its scatter from scene to scene where much was seen, where little was (there with a middle of its own, if one is given), and next to nothing. */
export type AreaGain = z.infer<typeof gain>;

/**
 * How often a pixel of one true class is called another, measured on pictures with truth that were not used to make the
 * method.
 *
 * `rate[k][j]` is the mean share of true class k called j, `logSd[k][j]` the scatter of its logarithm from scene to scene:
 * light, colours and tarnish differ, so the rates of the next photo are drawn, not known. Row 0 holds what bare surface is
 * called where no such piece is near; what pieces lose and gain along their own edges goes with the pieces, not with the
 * surface, and is in `areaGain`.
 */
export const errorRatesSchema = z
	.object({
		source: z.string().min(1),
		scenes: z.number().int().positive(),
		rate: z.array(row).length(ERROR_CLASSES),
		logSd: z.array(row).length(ERROR_CLASSES),
		/**
		 * Per material class: ln of (true area over area seen), and its scatter from scene to scene, where much of the pieces was seen
		 * to be of the class, (`logSdMinor`; as for much where absent) where little was: edges and false calls tell more there, and (`logSdTrace`; as for
		 * little where absent) where it is hardly there: a few dots that are seen or not. Area
		 * seen is all where the whole is absent, and null where too few scenes hold the class.
		 */
		areaGain: z.array(gain.nullable()).length(MATERIAL_CLASSES.length).optional(),
		/**
		 * The same of bright and tinned copper together. Where it stands, what one of the two is called too much the other is called too
		 * little, and the two gains above only say how copper parts into them. Absent where each class is scaled by itself.
		 */
		copperGain: gain.optional(),
		/** Where the table alone says too little of how scenes differ; see `sceneScatter.ts`. */
		sceneScatter: z.object({ copper: z.number().min(0), aluminium: z.number().min(0) }).optional(),
	})
	.readonly();
export type ErrorRates = z.infer<typeof errorRatesSchema>;

/** How a photo was read: error rates are known apart for each method on mats (light known) and on plain trays. */
export const READING_KINDS = ['threshold-mat', 'threshold-tray', 'model-mat', 'model-tray'] as const;
export type ReadingKind = (typeof READING_KINDS)[number];
/** Kinds that errors are drawn for: mats read by the model in hard light from one side are one of their own (`inSideLight`). */
export type DrawnKind = ReadingKind | 'model-mat-side-lit';
export const errorRatesByKindSchema = z.object(perName(READING_KINDS, () => errorRatesSchema));
export type ErrorRatesByKind = Readonly<z.infer<typeof errorRatesByKindSchema>>;

/** Scatter of a log rate that is believed at most: few scenes can show more by chance. */
const LARGEST_LOG_SD = 1.5;
/** Scatter taken where fewer than three scenes tell. Our choice. */
const UNKNOWN_LOG_SD = 1;
/** What is taken for a gain that was not measured: seen right within a factor of 2.7. */
export const UNKNOWN_GAIN: AreaGain = { logMean: 0, logSd: UNKNOWN_LOG_SD };
/** Share of the pieces' area, as seen, from which a class counts as much of them: edges of a rarer one are most of it. Our choice. */
export const MUCH_SHARE = 0.15;
/** Largest share of a class that counts as called otherwise. */
const MOST_WRONG = 0.95;
/** Fewest pieces of a class for a scene to tell how often that class is missed. */
const FEWEST_PIECES = 20;
/**
 * Scenes in which a class holds at most this share of the pieces tell how often other things are called that class. Where it is
 * common, most such calls are pixels on its own edges, and as many of its pixels go the other way: that is in the area gain.
 */
export const MINOR_SHARE = 0.02;
/**
 * Where fewer scenes than this have so little of a class, that many with the least of it tell. Their rates are then taken down to that
 * share in proportion, if that makes them more alike: calls that lie where pieces touch are the more frequent the more there is to
 * touch, calls of what looks alike are not.
 */
const FEWEST_SCENES = 8;
/** Fewest pieces of a class that is hardly there for a scene to tell how well such are seen. */
const FEWEST_TRACES = 5;

/**
 * Fit error rates to one error table per scene.
 *
 * Rates between classes are shares of the pixels that are truly a piece and called a piece. Each is log-normal from scene to scene:
 * mean and scatter of the scenes' log rates, the counting part of the scatter taken off. Pixels of a piece are called
 * alike, so some `pixelsPerPiece` pixels count as one.
 *
 * @param tables - per scene: rows true class, columns called class (bare surface first), pixel counts
 * @param elsewhere - scenes read by the same method on another surface: they count in the area gain of a class that too few of
 * the scenes tell of
 * @throws RangeError for fewer than two scenes
 * @source random-effects variance by moments: DerSimonian and Laird, Controlled Clinical Trials 7 (1986) 177 (from memory)
 */
export function fitErrorRates(
	tables: readonly Table[],
	pixelsPerPiece: number,
	source: string,
	elsewhere: readonly Table[] = [],
): ErrorRates {
	if (tables.length < 2) throw new RangeError(`fitErrorRates needs two scenes or more, got ${tables.length}`);
	const codes = Array.from({ length: ERROR_CLASSES }, (_, code) => code);
	const fits = codes.map((k) =>
		codes.map((j) => (k === j || j === 0 ? undefined : fitLog(countsOf(tables, k, j, pixelsPerPiece)))),
	);
	const rate = fits.map((row) => row.map((fit) => (fit === undefined ? 0 : Math.exp(fit.mean + fit.sd ** 2 / 2))));
	const full = rate.map(withRest);
	const copperGain = gainOf(tables, elsewhere, COPPER_CODES, pixelsPerPiece);
	return {
		source,
		scenes: tables.length,
		rate: full,
		logSd: fits.map((row) => row.map((fit) => fit?.sd ?? 0)),
		areaGain: codes.slice(1).map((k) => gainOf(tables, elsewhere, [k], pixelsPerPiece)),
		...(copperGain === null ? {} : { copperGain }),
	};
}

/** Fill in the share called rightly. Means of widely scattered rates can sum to more than there is; they are scaled down then. */
function withRest(row: readonly number[], k: number): number[] {
	const wrong = pixels(row);
	const scale = wrong > MOST_WRONG ? MOST_WRONG / wrong : 1;
	return row.map((share, j) => (j === k ? 1 - wrong * scale : share * scale));
}

/** One scene's pixels: rows true class, columns called class. */
type Table = readonly (readonly number[])[];

interface Counts {
	readonly called: number;
	readonly all: number;
	/** What the rate may be taken down by, 1 where the scene has little of the class. */
	readonly scale: number;
}

/** Pieces of true class k called j, of all that are told, in the scenes with little of j, or with the least of it. */
function countsOf(tables: readonly Table[], k: number, j: number, perPiece: number): Counts[] {
	const telling = tables
		.map((table) => {
			const row = k === 0 ? table[k]! : table[k]!.slice(1);
			const share = shareOf(table, j);
			const scale = Math.min(1, MINOR_SHARE / share);
			return { share, scale, called: table[k]![j]! / perPiece, all: pixels(row) / perPiece };
		})
		.filter(({ all }) => all >= FEWEST_PIECES)
		.sort((one, other) => one.share - other.share);
	const minor = telling.filter(({ share }) => share <= MINOR_SHARE);
	return minor.length >= FEWEST_SCENES ? minor : telling.slice(0, FEWEST_SCENES);
}

/** Share of a scene's pieces that are truly class j. */
function shareOf(table: Table, j: number): number {
	return (
		pixels(table[j]!) /
		Math.max(
			1,
			table.slice(1).reduce((sum, row) => sum + pixels(row), 0),
		)
	);
}

function pixels(row: readonly number[]): number {
	return row.reduce((sum, count) => sum + count, 0);
}

/** Mean and between-scene scatter of a log rate. Half a piece is added: a rate that was never seen is small, not nought. */
function fitLog(scenes: readonly Counts[]): { readonly mean: number; readonly sd: number } {
	if (scenes.length === 0) return { mean: Math.log(0.001), sd: UNKNOWN_LOG_SD };
	const told = (scaled: boolean) =>
		spreadOf(
			scenes.map(({ called, all, scale }) => ({
				log: Math.log(((called + 0.5) / (all + 1)) * (scaled ? scale : 1)),
				counting: 1 / (called + 0.5),
			})),
		);
	const [asSeen, takenDown] = [told(false), told(true)];
	return takenDown.sd < asSeen.sd ? takenDown : asSeen;
}

/** Mean of logs weighted by their counting, and their scatter beyond counting. */
function spreadOf(scenes: readonly { readonly log: number; readonly counting: number }[]): {
	mean: number;
	sd: number;
} {
	const plain = scenes.reduce((sum, { log }) => sum + log, 0) / scenes.length;
	if (scenes.length < 3) return { mean: plain, sd: UNKNOWN_LOG_SD };
	const total = scenes.reduce((sum, { log }) => sum + (log - plain) ** 2, 0) / (scenes.length - 1);
	const counting = scenes.reduce((sum, scene) => sum + scene.counting, 0) / scenes.length;
	const between = Math.min(LARGEST_LOG_SD ** 2, Math.max(0.01, total - counting));
	const weights = scenes.map((scene) => 1 / (between + scene.counting));
	const sum = weights.reduce((all, weight) => all + weight, 0);
	const mean = scenes.reduce((all, { log }, s) => all + weights[s]! * log, 0) / sum;
	return { mean, sd: Math.sqrt(between) };
}

/** Fewer scenes than this tell no scatter of their own. */
const FEWEST_OF_A_KIND = 5;

/**
 * True area of some classes over the area called so, over scenes that hold more than a little of them: the log's median over all of them, which a few stray
 * ones leave where it is, and the mean square about it, to which they count, where much of the class was seen and where little was; scenes that hardly hold it, on whatever surface, tell how it scatters there. Where too few scenes
 * of the kind show as much, those on other surfaces tell the scatter with them.
 */
function gainOf(
	tables: readonly Table[],
	elsewhere: readonly Table[],
	own: readonly number[],
	perPiece: number,
): AreaGain | null {
	const sumOf = (of: (k: number) => number) => own.reduce((sum, k) => sum + of(k), 0);
	const trulyIn = (table: Table) => sumOf((k) => pixels(table[k]!));
	const holds = (table: Table) =>
		trulyIn(table) / perPiece >= FEWEST_PIECES && sumOf((k) => shareOf(table, k)) > MINOR_SHARE;
	const isTrace = (table: Table) =>
		trulyIn(table) / perPiece >= FEWEST_TRACES && sumOf((k) => shareOf(table, k)) <= MINOR_SHARE;
	const told = (table: Table) => {
		const calledAs = (j: number) => table.reduce((sum, row) => sum + row[j]!, 0);
		const all = table.slice(1).reduce((sum, _, j) => sum + calledAs(j + 1), 0);
		const called = sumOf(calledAs);
		const log = Math.log((trulyIn(table) / perPiece + 0.5) / (called / perPiece + 0.5));
		return { log, isMuch: called >= MUCH_SHARE * all };
	};
	const ofKind = tables.filter(holds).map(told);
	const others = elsewhere.filter(holds).map(told);
	const scenes = ofKind.length < FEWEST_OF_A_KIND ? [...ofKind, ...others] : ofKind;
	if (scenes.length < 3) return null;
	const logs = scenes.map(({ log }) => log).sort((one, other) => one - other);
	const middle = quantileOf(logs, 0.5);
	const scatterOf = (isMuch: boolean) => {
		const alike = [scenes, [...ofKind, ...others]].map((some) => some.filter((scene) => scene.isMuch === isMuch));
		const telling = [...alike, scenes].find((some) => some.length >= FEWEST_OF_A_KIND) ?? scenes;
		const squares = telling.reduce((sum, { log }) => sum + (log - middle) ** 2, 0);
		return Math.min(LARGEST_LOG_SD, Math.sqrt(squares / telling.length));
	};
	const traces = [...tables, ...elsewhere].filter(isTrace).map(told);
	// about no change: a middle of few dots, false calls among them, is not believed
	const ofTraces = Math.sqrt(traces.reduce((sum, { log }) => sum + log ** 2, 0) / traces.length);
	return {
		// a class that a method hardly ever finds can't be scaled up to what is there
		logMean: Math.max(-LARGEST_LOG_SD, Math.min(LARGEST_LOG_SD, middle)),
		logSd: scatterOf(true),
		logSdMinor: scatterOf(false),
		...(traces.length < FEWEST_OF_A_KIND
			? {}
			: { logSdTrace: Math.min(LARGEST_LOG_SD, Math.max(ofTraces, scatterOf(false))) }),
	};
}

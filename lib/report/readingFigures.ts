import { z } from 'zod';
import { CLASS_WORDS, MATERIAL_CLASSES } from '../material/classes';
import { printNumber, printPercent } from './format';

const share = z.number().min(0).max(1);
const percent = z.number();

/** How one way of reading did on one kind of surface. */
const onSurfaceSchema = z.object({
	pictures: z.number().int().positive(),
	/** Median absolute error of each class's share of the pieces' area, points; the plain hue rule knows copper alone. */
	areaPoints: z.partialRecord(z.enum(MATERIAL_CLASSES), z.number().min(0)),
	/** Share of the true pixels called so, of those judged; absent without class masks. */
	found: z.partialRecord(z.enum(MATERIAL_CLASSES), share).optional(),
	/** Mean of those over bare surface and the classes that weigh alike. */
	balanced: share.optional(),
});

/** How one way of reading did on all the pictures. */
const byMethodSchema = z.object({
	mat: onSurfaceSchema.optional(),
	tray: onSurfaceSchema.optional(),
	/** Called bright copper on blanks, per cent of the pieces' area, least first; and on blanks of copper's own colour. */
	blankPercent: z.array(percent),
	copperColouredBlankPercent: z.array(percent),
	/** Red to brown insulation called bright copper, per cent of its pixels; and two pixels and more inside its pieces. */
	redBrownPercent: percent.optional(),
	redBrownInsidePercent: percent.optional(),
	/** Area of free-lying hair wire, called less true, per cent of the true, middle case. */
	hairPercentOff: percent.optional(),
	/** Ranges that hold the truth, of how many. */
	ranges: z.object({ freeCopper: z.number().int(), copper: z.number().int(), of: z.number().int() }).optional(),
});

const worstSchema = z.object({
	surface: z.string(),
	light: z.string(),
	product: z.string(),
	/** Area share called less true, points. */
	points: z.partialRecord(z.enum(MATERIAL_CLASSES), z.number()),
	/** Pixels called otherwise than they are, of all that are a piece or are called one. */
	wrongShare: share,
});

/** What the accuracy measurement says of the reading of pictures with known truth, as far as the method page tells it. */
export const readingFiguresSchema = z.object({
	pictures: z.number().int().positive(),
	model: byMethodSchema.optional(),
	threshold: byMethodSchema.optional(),
	hue: byMethodSchema.optional(),
	worst: z.array(worstSchema),
});
export type ReadingFigures = z.infer<typeof readingFiguresSchema>;
export type WorstReading = z.infer<typeof worstSchema>;

/** The classes that the page's table has a column for. */
export const FIGURED_CLASSES = ['brightCopper', 'tinnedCopper', 'aluminium', 'insulation'] as const;

const READ_BY = [
	['model', 'Model'],
	['threshold', 'Colours alone'],
	['hue', 'Plain hue rule'],
] as const;

/** Rows of the table of area errors: who read, on what, a cell a class of `FIGURED_CLASSES`. */
export function areaRows(figures: ReadingFigures): readonly (readonly [string, string, readonly string[]])[] {
	return READ_BY.flatMap(([method, name]) =>
		(['mat', 'tray'] as const).flatMap((kind) => {
			const own = figures[method]?.[kind];
			if (own === undefined) return [];
			const cells = FIGURED_CLASSES.map((of) => printOr(own.areaPoints[of], 1));
			return [[name, `${kind === 'mat' ? 'mats' : 'plain trays'} (${own.pictures})`, cells] as const];
		}),
	);
}

/** `0.04 to 0.27 %`, `0.3 %`, or `none measured`. */
export function printSpan(percents: readonly number[]): string {
	if (percents.length === 0) return 'none measured';
	const [least, most] = [Math.min(...percents), Math.max(...percents)].map((one) => printNumber(one, 2));
	return least === most ? `${least} %` : `${least} to ${most} %`;
}

/** `5 % too large`, `38 % too small`. */
export function printOff(percentOff: number | undefined): string {
	if (percentOff === undefined) return 'not measured';
	return `${printNumber(Math.abs(percentOff), 0)} % too ${percentOff < 0 ? 'small' : 'large'}`;
}

/** A number with so many decimals, or a dash where it was not measured. */
export function printOr(amount: number | undefined, decimals: number): string {
	return amount === undefined ? '–' : printNumber(amount, decimals);
}

/** `34 in 100`, for so many of a class's pixels found. */
export function printFound(found: number | undefined): string {
	return found === undefined ? 'an unknown share' : `${printNumber(100 * found, 0)} in 100`;
}

type Ranges = NonNullable<z.infer<typeof byMethodSchema>['ranges']>;

/** How many ranges held the truth; nothing where none was measured. */
export function rangesSentence(ranges: Ranges | undefined): string {
	if (ranges === undefined) return '';
	const { freeCopper, copper, of } = ranges;
	return `Of ${of} ranges, ${freeCopper} held the free copper and ${copper} the copper in all (aimed at: 95 in 100).`;
}

/** Errors under this many points are not told of a picture. */
const LEAST_TOLD_POINTS = 1;

/** What a badly read picture shows, and how far off each class's area is, the largest first. */
export function worstSentence({ surface, light, product, points, wrongShare }: WorstReading): string {
	const told = MATERIAL_CLASSES.flatMap((name) => {
		const off = points[name] ?? 0;
		return Math.abs(off) < LEAST_TOLD_POINTS ? [] : [{ name, off }];
	}).sort((one, other) => Math.abs(other.off) - Math.abs(one.off));
	const parts = told.map(
		({ name, off }, k) =>
			`${CLASS_WORDS[name]} ${k === 0 ? 'read ' : ''}${printNumber(Math.abs(off), 0)} points too ${off < 0 ? 'low' : 'high'}`,
	);
	const where = surface === 'mat' ? 'on the mat' : `on a tray of ${surface}`;
	const areas = parts.length === 0 ? 'areas are right to a point all the same' : parts.join('; ');
	return `${product.charAt(0).toUpperCase()}${product.slice(1)} ${where}, ${light}: ${areas}. ${printPercent(wrongShare)} of the pixels with a piece are wrong.`;
}

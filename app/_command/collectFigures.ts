import { z } from 'zod';
import { ERROR_CLASSES } from '@/lib/grade/errorRates';
import { CLASS_CODE, MATERIAL_CLASSES } from '@/lib/material/classes';
import type { ReadingFigures, WorstReading } from '@/lib/report/readingFigures';
import type { Method } from './accuracyScore';
import { balancedOf, hairRatios, median, recallsOf, redBrown } from './accuracySummary';

const called = { pixels: z.number(), calledCopper: z.number() };
const scoredShare = z.object({
	truth: z.number(),
	value: z.number(),
	low: z.number(),
	high: z.number(),
	holds: z.boolean(),
	below: z.boolean(),
});

/** One picture's line as `npm run bench:accuracy -- --tables` prints it. */
const lineSchema = z.object({
	picture: z.string(),
	method: z.enum(['threshold', 'model', 'hue']),
	surface: z.string(),
	light: z.string(),
	product: z.string(),
	seconds: z.number(),
	areaShareError: z.partialRecord(z.enum(MATERIAL_CLASSES), z.number()),
	copperShare: z.number(),
	freeCopper: scoredShare.exactOptional(),
	copper: scoredShare.exactOptional(),
	warnings: z.array(z.string()),
	redBrown: z.object({ ...called, inside: z.object(called) }).exactOptional(),
	hair: z.object({ truePx: z.number(), calledPx: z.number() }).exactOptional(),
	table: z.array(z.array(z.number()).length(ERROR_CLASSES)).length(ERROR_CLASSES),
});
/** A line that has its table of pixels. */
export type Line = z.infer<typeof lineSchema>;

/**
 * The lines of pictures among what the accuracy measurement printed; a picture that was read twice counts as read last.
 *
 * @throws ZodError where a line with a table lacks something
 */
export function linesOf(texts: readonly string[]): Line[] {
	const lines = texts
		.flatMap((text) => text.split('\n'))
		.filter((line) => line.startsWith('{"picture"') && line.includes('"table"'))
		.map((line) => lineSchema.parse(JSON.parse(line)));
	return [...new Map(lines.map((line) => [`${line.method} ${line.picture}`, line])).values()];
}

/** What the method page tells of these readings. */
export function readingFigures(lines: readonly Line[], worst: readonly Line[]): ReadingFigures {
	return {
		pictures: new Set(lines.map(({ picture }) => picture)).size,
		...Object.fromEntries(
			(['model', 'threshold', 'hue'] as const).flatMap((method) => {
				const own = lines.filter((line) => line.method === method);
				return own.length === 0 ? [] : [[method, ofMethod(method, own)]];
			}),
		),
		worst: worst.map(worstReading),
	};
}

/** The pictures whose area shares are furthest off, all classes together, the worst first. */
export function worstLines(lines: readonly Line[], method: Method, count: number): Line[] {
	return lines
		.filter((line) => line.method === method)
		.sort((one, other) => pointsOff(other) - pointsOff(one))
		.slice(0, count);
}

function ofMethod(method: Method, own: readonly Line[]) {
	const blanks = (isCoppersColour: boolean) =>
		own
			.filter(({ product }) => product.startsWith('blank') && product.includes('copper') === isCoppersColour)
			.map(({ copperShare }) => rounded(100 * copperShare))
			.sort((one, other) => one - other);
	const [all, inside, hair] = [redBrown(own), redBrown(own, true), median(hairRatios(own))];
	const count = (of: 'freeCopper' | 'copper') => own.filter((line) => line[of]?.holds).length;
	const mats = own.filter(({ surface }) => surface === 'mat');
	const trays = own.filter(({ surface }) => surface !== 'mat');
	return {
		...(mats.length === 0 ? {} : { mat: onSurface(method, mats) }),
		...(trays.length === 0 ? {} : { tray: onSurface(method, trays) }),
		blankPercent: blanks(false),
		copperColouredBlankPercent: blanks(true),
		...(all === undefined ? {} : { redBrownPercent: rounded(100 * all) }),
		...(inside === undefined ? {} : { redBrownInsidePercent: rounded(100 * inside) }),
		...(hair === undefined || method === 'hue' ? {} : { hairPercentOff: rounded(100 * (hair - 1)) }),
		...(method === 'hue'
			? {}
			: { ranges: { freeCopper: count('freeCopper'), copper: count('copper'), of: own.length } }),
	};
}

function onSurface(method: Method, own: readonly Line[]) {
	const classes = method === 'hue' ? (['brightCopper'] as const) : MATERIAL_CLASSES;
	const recalls = recallsOf(own) ?? [];
	const errors = classes.map((name) => {
		const middle = median(own.flatMap((line) => line.areaShareError[name] ?? []).map(Math.abs));
		return [name, rounded(middle ?? 0)];
	});
	const found = classes.flatMap((name) => {
		const recall = recalls[CLASS_CODE[name]];
		return recall === undefined ? [] : [[name, rounded(recall)]];
	});
	const balanced = method === 'hue' ? undefined : balancedOf(own);
	return {
		pictures: own.length,
		areaPoints: Object.fromEntries(errors),
		found: Object.fromEntries(found),
		...(balanced === undefined ? {} : { balanced: rounded(balanced) }),
	};
}

function worstReading(line: Line): WorstReading {
	const { surface, light, product, areaShareError } = line;
	const points = MATERIAL_CLASSES.map((name) => [name, rounded(areaShareError[name] ?? 0)]);
	return { surface, light, product, points: Object.fromEntries(points), wrongShare: rounded(wrongShare(line)) };
}

function pointsOff({ areaShareError }: Line): number {
	return MATERIAL_CLASSES.reduce((sum, name) => sum + Math.abs(areaShareError[name] ?? 0), 0);
}

/** Pixels called otherwise than they are, of all that are a piece or are called one. */
function wrongShare({ table }: Line): number {
	let [wrong, all] = [0, 0];
	for (const [k, row] of table.entries()) {
		for (const [j, count] of row.entries()) {
			if (k !== j) wrong += count;
			if (k > 0 || j > 0) all += count;
		}
	}
	return wrong / Math.max(1, all);
}

/** Three digits: more say nothing of the next picture. */
function rounded(value: number): number {
	return Number(value.toPrecision(3));
}

import { z } from 'zod';
import { toldOf } from '../errors/TrayError';
import { COMPONENTS, MATERIAL_CLASSES } from '../material/classes';
import { parseNumber } from '../quantity/parseNumber';
import { readMass } from '../quantity/units';

/** A mass as typed, `"12,40 g"`; bare numbers are grams. Comes out as grams with the scale's step. */
const grams = (what: string) =>
	z.union([z.string(), z.number()], { error: `${what} is missing.` }).transform((given, context) => {
		try {
			const { massKg, lastDigitKg } = readMass(String(given), what, 'g');
			if (massKg >= 0) return { massG: massKg * 1000, stepG: lastDigitKg * 1000 };
			context.addIssue({ code: 'custom', message: `${what} is below nothing. Check it.` });
		} catch (cause) {
			context.addIssue({ code: 'custom', message: toldOf(cause) });
		}
		return z.NEVER;
	});

const number = (what: string, unit: string, least: number, most: number) =>
	z.union([z.string(), z.number()]).transform((given, context) => {
		const value = typeof given === 'number' ? given : parseNumber(given, [unit]);
		if (value !== undefined && value >= least && value <= most) return value;
		const message = `${what} must be a number between ${least} and ${most} ${unit}. Check it.`;
		context.addIssue({ code: 'custom', message });
		return z.NEVER;
	});

/** A count as typed, `60` or `60 pieces`: nothing between whole numbers. */
const count = (what: string, unit: string, least: number, most: number) =>
	number(what, unit, least, most).refine(Number.isInteger, {
		message: `${what} must be a whole number. Check it.`,
	});

/** A share as a fraction, or as a text in per cent. */
const share = (what: string) =>
	z.union([z.string(), z.number()]).transform((given, context) => {
		const isPercent = typeof given === 'string' && given.includes('%');
		const read = typeof given === 'number' ? given : parseNumber(given, ['%']);
		const value = read === undefined ? Number.NaN : isPercent ? read / 100 : read;
		if (value >= 0 && value <= 1) return value;
		context.addIssue({ code: 'custom', message: `${what} must lie between 0 and 100 %. Write 96.2 % or 0.962.` });
		return z.NEVER;
	});

const handSort = z
	.strictObject({
		kind: z.literal('handSort'),
		/** Which spread of the product was sorted; the first is 1. It must have been photographed before. */
		spread: z.number().int().min(1).max(200),
		/** What the pile of each class weighed; a class left out was not weighed, `0` was looked for and not found. */
		piles: z.partialRecord(z.enum(MATERIAL_CLASSES), grams('The weight of a pile')),
	})
	.refine(({ piles }) => Object.values(piles).some((pile) => pile !== undefined && pile.massG > 0), {
		message: 'Enter the weight of at least one pile.',
	});

/** Components that a blank can be free of; insulation is what blanks are made of. */
const BLANK_OF = ['copper', 'aluminium'] as const;

const blank = z.strictObject({
	kind: z.literal('blank'),
	/** Which photographed spread is clean insulation, picked over by hand, holding none of the metal; the first is 1. */
	spread: z.number().int().min(1).max(200),
	/** What it surely holds none of. */
	freeOf: z
		.array(z.enum(BLANK_OF))
		.min(1)
		.default([...BLANK_OF]),
});

const moisture = z
	.strictObject({
		kind: z.literal('moisture'),
		wet: grams('The wet weight of the sub-sample'),
		dry: grams('The dry weight of the sub-sample'),
	})
	.refine(({ wet, dry }) => wet.massG > 0 && dry.massG > 0 && dry.massG <= wet.massG, {
		message: 'The sub-sample weighs more dry than wet, or nothing. Check both weights.',
	});

const strip = z
	.strictObject({
		kind: z.literal('strip'),
		/** Insulation pieces picked without looking for cores, and what they weighed before stripping. */
		picks: count('The number of pieces', 'pieces', 3, 10_000),
		before: grams('The weight of the picked insulation pieces'),
		copper: grams('The weight of the copper stripped from them'),
	})
	.refine(({ before }) => before.massG > 0, {
		message: 'The picked insulation pieces weigh nothing. Check the weight.',
		path: ['before'],
	})
	.refine(({ before, copper }) => !(before.massG > 0) || copper.massG < before.massG, {
		message: 'The copper weighs as much as the pieces it was stripped from. Check both weights.',
	});

const displacement = z
	.strictObject({
		kind: z.literal('displacement'),
		dry: grams('The dry weight of the sample'),
		/** Volume of water pushed up, in millilitres. */
		displacedMl: number('The volume displaced', 'ml', 0.1, 100_000).optional(),
		stepMl: number('The step of the measuring jug', 'ml', 0.001, 1000).optional(),
		/** Or what the sample, hung in water, weighs. */
		suspended: grams('The weight of the sample hung in water').optional(),
		waterC: number("The water's temperature", '°C', 1, 40).default(20),
	})
	.refine(({ dry }) => dry.massG > 0, {
		message: 'A sample that weighs nothing has no density. Enter its dry weight.',
		path: ['dry'],
	})
	.refine(({ displacedMl, suspended }) => (displacedMl === undefined) !== (suspended === undefined), {
		message: 'Enter either the volume displaced or the weight of the sample hung in water.',
	})
	.refine(({ dry, suspended }) => suspended === undefined || !(dry.massG > 0) || suspended.massG < dry.massG, {
		message: 'The sample weighs more in water than in air. Check both weights.',
	});

const magnet = z
	.strictObject({
		kind: z.literal('magnet'),
		sample: grams('The weight of the sample'),
		pulled: grams('The weight of what the magnet pulled out'),
	})
	.refine(({ sample }) => sample.massG > 0, {
		message: 'The sample weighs nothing, so a magnet tells nothing of it. Check its weight.',
		path: ['sample'],
	})
	.refine(({ sample, pulled }) => !(sample.massG > 0) || pulled.massG <= sample.massG, {
		message: 'The magnet pulled out more than the sample weighs. Check both weights.',
	});

const assay = z
	.strictObject({
		kind: z.literal('assay'),
		component: z.enum(COMPONENTS).default('copper'),
		share: share('The laboratory result'),
		/** One standard uncertainty, of the laboratory and of its sample together. */
		u: share('The uncertainty of the laboratory result'),
		laboratory: z.string().trim().max(120).optional(),
	})
	.refine(({ share: value, u }) => u > 0 && (u ** 2 < value * (1 - value) || (value % 1 === 0 && u < 0.5)), {
		message: 'The uncertainty must be above nothing and small enough for the result to stay between 0 and 100 %.',
	});

/** One check of a product by hand or by a laboratory, as a form or a run file gives it. */
export const checkSchema = z.discriminatedUnion('kind', [
	handSort,
	blank,
	strip,
	displacement,
	magnet,
	moisture,
	assay,
]);
export type Check = z.output<typeof checkSchema>;
export type CheckInput = z.input<typeof checkSchema>;
export type CheckOf<Kind extends Check['kind']> = Extract<Check, { readonly kind: Kind }>;

/** The checks of one kind, in their order. */
export function checksOfKind<Kind extends Check['kind']>(
	checks: readonly Check[],
	kind: Kind,
): readonly CheckOf<Kind>[] {
	return checks.filter((check): check is CheckOf<Kind> => check.kind === kind);
}

/** Whether a check is about one photographed spread: a hand sort or a blank. */
export function isOfSpread<Entry extends { readonly kind: Check['kind'] }>(
	check: Entry,
): check is Extract<Entry, { readonly kind: 'handSort' | 'blank' }> {
	return check.kind === 'handSort' || check.kind === 'blank';
}

/**
 * Whether a check counts no more because a later one of the list is of the same kind and spread: the pieces of a spread are the same
 * however often they are weighed, so a sort entered again takes the place of the one before.
 *
 * @param spreadOf - what tells spreads apart
 */
export function isSuperseded<Entry extends { readonly kind: Check['kind'] }>(
	checks: readonly Entry[],
	at: number,
	spreadOf: (check: Entry) => unknown,
): boolean {
	const own = checks[at];
	if (own === undefined || !isOfSpread(own)) return false;
	return checks.slice(at + 1).some((later) => later.kind === own.kind && spreadOf(later) === spreadOf(own));
}

/** The checks that count: of those of one kind about one spread the last. */
export function withoutSuperseded(checks: readonly Check[]): readonly Check[] {
	return checks.filter((_, at) => !isSuperseded(checks, at, (check) => isOfSpread(check) && check.spread));
}

/**
 * Hand sorts renumbered for the spreads that could be read; a sort of a spread that could not is left out.
 *
 * @param kept - places of the readable spreads among all, counted from 0
 */
export function checksOfKept(checks: readonly Check[], kept: readonly number[]): readonly Check[] {
	return checks.flatMap((check): Check[] => {
		if (!isOfSpread(check)) return [check];
		const at = kept.indexOf(check.spread - 1);
		return at < 0 ? [] : [{ ...check, spread: at + 1 }];
	});
}

/** Standard uncertainty of one weighing read to a step: rectangular. @source JCGM 100:2008 F.2.2.1 */
export function weighingU({ stepG }: { readonly stepG: number }): number {
	return stepG / Math.sqrt(12);
}

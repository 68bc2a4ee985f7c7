import { type Component, MATERIAL_CLASSES } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import type { ErrorRates, ErrorRatesByKind, ReadingKind } from './errorRates';
import { CLASSES_OF } from './spreadDraws';

/** A photographed spread of clean insulation. */
export interface BlankSpread {
	readonly reading: SpreadReading;
	/** What it surely holds none of. */
	readonly freeOf: readonly Component[];
}

/** Code of insulation on an error table. */
const INSULATION = MATERIAL_CLASSES.indexOf('insulation') + 1;

/**
 * Part of the variance of a false-call rate from scene to scene that a blank of the same material, light and camera shares with
 * the photos it speaks for; the rest is each spread's own. Half: our choice, no source.
 */
const SHARED_PART = 0.5;

/**
 * Error rates with what blanks say about how often insulation is called metal: a Bayesian update of the logarithm of each rate.
 *
 * The rate of this material is normal about the mean over scenes, on the logarithm; a blank's own rate scatters about it and was
 * counted on so many pieces. The rate of the next photo is drawn from what is left of both.
 *
 * @source conjugate normal update with known variances: any textbook (derived); blanks as the measure of false calls: Currie,
 *   Analytical Chemistry 40 (1968) 586
 */
export function withBlanks(rates: ErrorRatesByKind, blanks: readonly BlankSpread[]): ErrorRatesByKind {
	const byKind = new Map<ReadingKind, BlankSpread[]>();
	for (const blank of blanks) {
		const kind = `${blank.reading.method}-${blank.reading.surfaceKind}` as const;
		byKind.set(kind, [...(byKind.get(kind) ?? []), blank]);
	}
	return { ...rates, ...Object.fromEntries([...byKind].map(([kind, own]) => [kind, updated(rates[kind], own)])) };
}

function updated(rates: ErrorRates, blanks: readonly BlankSpread[]): ErrorRates {
	const rate = rates.rate.map((row) => [...row]);
	const logSd = rates.logSd.map((row) => [...row]);
	const before = rate[INSULATION]!;
	for (const [c, name] of MATERIAL_CLASSES.entries()) {
		const own = blanks.filter(({ freeOf }) => freeOf.some((component) => CLASSES_OF[component].includes(name)));
		const j = c + 1;
		const [mean, sd] = [before[j]!, logSd[INSULATION]![j]!];
		if (own.length === 0 || mean <= 0 || sd <= 0) continue;
		const [shared, apart] = [SHARED_PART * sd ** 2, (1 - SHARED_PART) * sd ** 2];
		let [precision, sum] = [1 / shared, (Math.log(mean) - sd ** 2 / 2) / shared];
		for (const { reading } of own) {
			const { log, variance } = calledOn(reading, c);
			precision += 1 / (variance + apart);
			sum += log / (variance + apart);
		}
		const variance = 1 / precision + apart;
		before[j] = Math.exp(sum / precision + variance / 2);
		logSd[INSULATION]![j] = Math.sqrt(variance);
	}
	const wrong = before.reduce((total, share, j) => (j === INSULATION ? total : total + share), 0);
	before[INSULATION] = Math.max(0.05, 1 - wrong);
	return { ...rates, rate, logSd };
}

/** Logarithm of the share of a blank's area called a class, and the variance of counting; half a piece is added. */
function calledOn({ blocks, pieces }: SpreadReading, c: number): { readonly log: number; readonly variance: number } {
	const areas = MATERIAL_CLASSES.map((name) => blocks.reduce((sum, block) => sum + block.areaMm2[name], 0));
	const all = areas.reduce((sum, area) => sum + area, 0);
	const count = MATERIAL_CLASSES.reduce((sum, name) => sum + pieces[name].count, 0);
	const called = all > 0 ? (areas[c]! / all) * count : 0;
	return { log: Math.log((called + 0.5) / (count + 1)), variance: 1 / (called + 0.5) };
}

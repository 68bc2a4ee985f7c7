import type { AccountDraws } from '../balance/account';
import { loweredDraws, raisedDraws } from '../balance/detectionCeiling';
import { estimateOfDrawn, estimateReaching, surestChance } from '../balance/drawn';
import { type AfterPasses, afterReruns, type RerunSplit } from '../balance/rerunCircuit';
import type { RunAccount } from '../balance/runAccount';
import type { Estimate } from '../quantity/quantity';
import { ratesOf } from './marginModel';
import { currencyOf, type PriceSheet } from './priceSheet';
import { type RerunValue, rerunValueOf } from './rerunValue';
import { soldWorlds } from './soldDraws';

/** How often the middlings are fed again, as the table lists it; endlessly is the steady state. */
const RERUNS = [0, 1, 2, 3, Number.POSITIVE_INFINITY] as const;

/** The concentrates of a run with its middlings fed again some times. */
export interface RerunPass {
	/** Reruns; `steady` for all that come, for ever. */
	readonly reruns: number | 'steady';
	readonly recovery?: Estimate;
	readonly grade?: Estimate;
	/** Fed to the table again, all reruns together, per kilogram of fresh feed. */
	readonly fedAgain?: Estimate;
}

/** A stock of middlings built up for a later batch. */
export interface MiddlingsStock {
	readonly batchKg: number;
	/** Dry middlings that one run like this leaves. */
	readonly middlingsKg: Estimate;
	readonly copperFraction: Estimate;
	/** Payable price of a kilogram of copper; missing where none was entered. */
	readonly worthPerKg?: number;
}

/** What rerunning a run's middlings comes to: plain data, ready for JSON. */
export interface RerunAccount {
	readonly passes: readonly RerunPass[];
	/** One rerun against keeping or selling the middlings; missing without a price. */
	readonly value?: RerunValue;
	readonly currency?: string;
	readonly stock?: MiddlingsStock;
}

/**
 * What rerunning a run's middlings comes to: after one, two, three passes and at steady state, and whether one pays.
 *
 * Where copper of a bin is below detection, what follows from it ends where its limit does, and a gain where those of all that is paid or charged
 * for do; the split is taken as it is.
 *
 * @param options.batchKg - dry middlings that a stock is built up to
 * @returns undefined where the run has no middlings or concentrates that are weighed and graded
 */
export function rerunAccountOf(
	run: { readonly account: RunAccount; readonly draws: AccountDraws },
	split: RerunSplit,
	{ sheet, batchKg }: { readonly sheet?: PriceSheet | undefined; readonly batchKg?: number | undefined } = {},
): RerunAccount | undefined {
	const passes = afterReruns(run, split, RERUNS);
	const [none, one] = passes ?? [];
	if (passes === undefined || none === undefined || one === undefined) return undefined;
	const isFeedMeasured = run.account.feed.gradeOrigin === 'measured';
	const draws = raisedDraws(run, ({ role }) => role !== 'tailings' || !isFeedMeasured, ['copper']);
	const passesIn = (world: AccountDraws) => afterReruns({ ...run, draws: world }, split, RERUNS);
	const [most, least] = [draws, loweredDraws(run)].map(
		(world) => (world === run.draws ? undefined : passesIn(world)) ?? passes,
	) as [readonly AfterPasses[], readonly AfterPasses[]]; // two in, two out
	const isBelow = run.account.together.concentrate?.massFraction.copper?.belowDetectionLimit === true;
	const figure = (name: 'recovery' | 'grade', k: number) =>
		isBelow
			? estimateOfDrawn(passes[k]?.[name], most[k]?.[name])
			: estimateReaching(passes[k]?.[name], most[k]?.[name], least[k]?.[name]);
	const worlds = sheet === undefined ? [] : soldWorlds(run, sheet, ({ role }) => role !== 'tailings');
	const value = sheet && gainOf([none, one], worlds.map(passesIn), sheet);
	const currency = sheet && currencyOf(sheet);
	const stock = batchKg === undefined ? undefined : stockOf(run.account, batchKg, sheet);
	return {
		passes: passes.map(({ reruns, fedAgain }, k) => ({
			reruns: Number.isFinite(reruns) ? reruns : ('steady' as const),
			...told('recovery', figure('recovery', k)),
			...told('grade', figure('grade', k)),
			...told('fedAgain', estimateReaching(fedAgain, most[k]?.fedAgain)),
		})),
		...(value === undefined ? {} : { value }),
		...(currency === undefined ? {} : { currency }),
		...(stock === undefined ? {} : { stock }),
	};
}

/** Gain of one rerun, as far as limits of detection leave it open in some worlds. */
function gainOf(
	passes: readonly [AfterPasses, AfterPasses],
	worlds: readonly (readonly AfterPasses[] | undefined)[],
	sheet: PriceSheet,
): RerunValue | undefined {
	const own = rerunValueOf(...passes, sheet);
	if (own === undefined) return undefined;
	const all = [own, ...worlds.flatMap((world) => (world && rerunValueOf(world[0]!, world[1]!, sheet)) ?? [])];
	const low = Math.min(...all.map(({ gainPerKg }) => gainPerKg.low));
	const high = Math.max(...all.map(({ gainPerKg }) => gainPerKg.high));
	const probabilityPays = surestChance(all.map((one) => one.probabilityPays));
	return { ...own, gainPerKg: { ...own.gainPerKg, low, high }, probabilityPays };
}

function told<Name extends string>(name: Name, estimate: Estimate | undefined) {
	return (estimate === undefined ? {} : { [name]: estimate }) as Partial<Record<Name, Estimate>>; // one key, the one named
}

function stockOf({ together }: RunAccount, batchKg: number, sheet: PriceSheet | undefined): MiddlingsStock | undefined {
	const middlingsKg = together.middlings?.dryMassKg;
	const copperFraction = together.middlings?.massFraction.copper;
	if (middlingsKg === undefined || copperFraction === undefined) return undefined;
	const rates = sheet && ratesOf(sheet);
	const worthPerKg = rates === undefined ? 0 : rates.pricePerKg.copper * rates.payable.copper;
	return { batchKg, middlingsKg, copperFraction, ...(worthPerKg > 0 ? { worthPerKg } : {}) };
}

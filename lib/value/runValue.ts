import type { AccountDraws } from '../balance/account';
import { productCeiling } from '../balance/detectionCeiling';
import {
	chanceAboveZero,
	type Drawn,
	drawnFrom,
	estimateOfDrawn,
	estimateReaching,
	ratioOfDrawn,
} from '../balance/drawn';
import { togetherOf } from '../balance/performance';
import type { RunAccount } from '../balance/runAccount';
import { COMPONENTS } from '../material/classes';
import { perName } from '../quantity/perName';
import type { Estimate } from '../quantity/quantity';
import { breakEvenFeedGradeOf, breakEvenPriceOf, paybackYearsOf } from './breakEven';
import {
	MARGIN_LINES,
	type MarginLine,
	marginLinesOf,
	marginOf,
	type Rates,
	ratesOf,
	type SoldPerKg,
} from './marginModel';
import { currencyOf, PRICED_METALS, type PriceSheet } from './priceSheet';
import { type Sensitivity, sensitivitiesOf } from './sensitivity';
import { bearsOnMargin, limitedWorlds, membersOf, soldDraws, soldOf, soldWorlds, type ValuedRun } from './soldDraws';

/** What a run is worth. Masses are dry; money is per kilogram of dry waste fed unless named otherwise. */
export interface RunValue {
	readonly currency?: string;
	/** Copper in the waste, and what was left in the tailings, kilograms per kilogram of waste fed. */
	readonly copperInWaste?: Estimate;
	readonly copperInTailings?: Estimate;
	/** The same at the entered price, nothing deducted. */
	readonly worthInWaste?: Estimate;
	readonly worthInTailings?: Estimate;
	readonly lines?: readonly { readonly line: MarginLine; readonly perKg: Estimate }[];
	readonly marginPerKg?: Estimate;
	readonly marginPerRun?: Estimate;
	/** Probability that the margin is above zero, prices taken as entered. */
	readonly probabilityPays?: number;
	/** Copper price per kilogram at which the run neither wins nor loses. */
	readonly breakEvenPricePerKg?: Estimate;
	/** A fraction; its ends are 1 at most, which stands for none. Absent where not even pure copper would do. */
	readonly breakEvenFeedGrade?: Estimate;
	/** Years; `high` is infinite where the margin may be below zero. */
	readonly paybackYears?: Estimate;
	readonly sensitivities: readonly Sensitivity[];
	/** What can't be worked out and why. */
	readonly cannot: readonly string[];
}

/**
 * What a run is worth at entered prices: metal in the waste, net margin, break-even and payback.
 *
 * Intervals come from the run's joint draws of weights and grades; prices are taken as entered (the sensitivities say what
 * they do). Products of the roles sold are taken together, as if poured into one box.
 *
 * @throws TrayError `usage` when the sheet mixes currencies
 * @source propagation: JCGM 101:2008 7; the margin's make-up: see `marginLinesOf`
 */
export function valueOfRun({ account, draws }: ValuedRun, sheet: PriceSheet): RunValue {
	const currency = currencyOf(sheet);
	const rates = ratesOf(sheet);
	const { feed } = draws;
	const tailings = membersOf(account, draws, ['tailings']);
	const lost = tailings && ratioOfDrawn(tailings.contentKg.copper, feed.massKg);
	const mostLost = mostLostOf({ account, draws });
	const isBelow = account.together.tailings?.massFraction.copper?.belowDetectionLimit === true;
	const told = (own: Drawn | undefined, most: Drawn | undefined) =>
		isBelow ? estimateOfDrawn(own, most) : estimateReaching(own, most);
	const price = sheet.metals.copper === undefined ? undefined : rates.pricePerKg.copper;
	const priced = (kg: Drawn | undefined) =>
		kg && price !== undefined ? drawnFrom([kg], (amount) => amount * price) : undefined;
	return present({
		currency,
		copperInWaste: account.feed.massFraction.reconciled.copper,
		copperInTailings: told(lost, mostLost),
		worthInWaste: price === undefined ? undefined : timesOf(account.feed.massFraction.reconciled.copper, price),
		worthInTailings: told(priced(lost), priced(mostLost)),
		...marginOfRun({ account, draws }, sheet, rates),
	});
}

/** An estimate so many times over. */
function timesOf(estimate: Estimate | undefined, factor: number): Estimate | undefined {
	if (estimate === undefined) return undefined;
	const { value, low, high } = estimate;
	return { ...estimate, value: value * factor, low: low * factor, high: high * factor };
}

/** What the tailings could hold at most, kilograms per kilogram of waste fed, as far as copper below detection leaves that open. */
function mostLostOf({ account, draws }: ValuedRun): Drawn | undefined {
	const tailings = account.products.filter(({ role }) => role === 'tailings');
	if (tailings.length === 0) return undefined;
	const most = togetherOf(tailings.map(({ id }) => productCeiling({ account, draws }, id)));
	return ratioOfDrawn(most.contentKg.copper, draws.feed.massKg);
}

/**
 * Net margin per kilogram of dry waste as draws, for setting one run's worth against another's; `limited` has it with as much in what is
 * sold as limits of detection leave open, where they bear on it.
 *
 * @returns undefined where no metal has a price or what is sold is not determined
 * @throws TrayError `usage` when the sheet mixes currencies
 */
export function marginDrawnOf(
	run: ValuedRun,
	sheet: PriceSheet,
): { readonly margin: Drawn; readonly limited: readonly Drawn[] } | undefined {
	currencyOf(sheet);
	if (PRICED_METALS.every((metal) => sheet.metals[metal] === undefined)) return undefined;
	const rates = ratesOf(sheet);
	const marginIn = (draws: AccountDraws) => {
		const sold = soldDraws(run.account, draws, sheet);
		return sold && drawnFrom(sold.figures, (...parts) => marginOf(soldOf(parts), rates));
	};
	const margin = marginIn(run.draws);
	return margin && { margin, limited: soldWorlds(run, sheet).flatMap((world) => marginIn(world) ?? []) };
}

type MarginPart = Pick<
	RunValue,
	| 'lines'
	| 'marginPerKg'
	| 'marginPerRun'
	| 'probabilityPays'
	| 'breakEvenPricePerKg'
	| 'breakEvenFeedGrade'
	| 'paybackYears'
	| 'sensitivities'
	| 'cannot'
>;

function marginOfRun({ account, draws }: ValuedRun, sheet: PriceSheet, rates: Rates): MarginPart {
	const cannot = cannotOf(account, draws, sheet);
	const isPriced = PRICED_METALS.some((metal) => sheet.metals[metal] !== undefined);
	const sold = soldDraws(account, draws, sheet);
	if (sold === undefined || !isPriced) return { sensitivities: [], cannot };
	const limited = limitedWorlds({ account, draws }, sheet);
	const moneyIn = (world: AccountDraws) => moneyDrawnOf(account, world, sheet, rates) ?? [];
	const worlds = [draws, ...limited].flatMap(moneyIn);
	const told = (figure: (money: MoneyDrawn) => Drawn | undefined) => {
		const [own, ...others] = worlds.map(figure);
		return estimateReaching(own, ...others);
	};
	const breakEvenFeedGrade = told(({ breakEvenFeedGrade: grade }) => grade);
	const paysAtNoGrade = breakEvenFeedGrade !== undefined && breakEvenFeedGrade.low > 1;
	const { investment } = sheet;
	return present({
		lines: MARGIN_LINES.flatMap((line) => {
			const perKg = told(({ lines }) => lines[line]);
			return perKg === undefined || (perKg.low === 0 && perKg.high === 0) ? [] : [{ line, perKg }];
		}),
		marginPerKg: told(({ margin }) => margin),
		marginPerRun: told(({ marginPerRun }) => marginPerRun),
		probabilityPays: chanceAboveZero(worlds.map(({ margin }) => margin)),
		breakEvenPricePerKg: sheet.metals.copper && told(({ breakEvenPrice }) => breakEvenPrice),
		breakEvenFeedGrade: paysAtNoGrade ? undefined : breakEvenFeedGrade && cappedShare(breakEvenFeedGrade),
		paybackYears:
			investment &&
			paybackOf(
				told(({ margin }) => margin),
				investment,
			),
		sensitivities: sensitivitiesOf(
			soldOf(sold.figures.map(({ value }) => value)),
			sheet,
			measuredOf({ account, draws }, limited, sheet),
		),
		cannot: paysAtNoGrade ? [...cannot, PAYS_AT_NO_GRADE] : cannot,
	});
}

/** A run's money in one of its worlds, as draws; feed grades are not yet held to 1. */
interface MoneyDrawn {
	readonly lines: Readonly<Record<MarginLine, Drawn>>;
	readonly margin: Drawn;
	readonly marginPerRun?: Drawn | undefined;
	readonly breakEvenPrice: Drawn;
	readonly breakEvenFeedGrade?: Drawn | undefined;
}

function moneyDrawnOf(account: RunAccount, { feed, products }: AccountDraws, sheet: PriceSheet, rates: Rates) {
	const sold = soldDraws(account, { feed, products }, sheet);
	if (sold === undefined) return undefined;
	const along = (figure: (sold: SoldPerKg) => number) => drawnFrom(sold.figures, (...parts) => figure(soldOf(parts)));
	const margin = along((one) => marginOf(one, rates));
	const feedGrade = feed.massFraction.copper;
	const money: MoneyDrawn = {
		lines: perName(MARGIN_LINES, (line) => along((one) => marginLinesOf(one, rates)[line])),
		margin,
		marginPerRun: feed.massKg && drawnFrom([margin, feed.massKg], (each, kg) => each * kg),
		breakEvenPrice: along((one) => breakEvenPriceOf(one, rates)),
		breakEvenFeedGrade:
			feedGrade &&
			drawnFrom([...sold.figures, feedGrade], (...parts: number[]) =>
				breakEvenFeedGradeOf(soldOf(parts), rates, parts.at(-1) ?? Number.NaN),
			),
	};
	return money;
}

const PAYS_AT_NO_GRADE =
	'No copper in the waste breaks even: even waste of nothing but copper would not pay at these prices.';

/** No waste holds more than all copper. */
function cappedShare({ value, low, high }: Estimate): Estimate {
	return { value: Math.min(1, value), low, high: Math.min(1, high) };
}

/** Payback decreases with the margin, so its interval is that of the margin turned round. */
function paybackOf(
	margin: Estimate | undefined,
	{ amount, yearlyFeedKg }: NonNullable<PriceSheet['investment']>,
): Estimate | undefined {
	if (margin === undefined) return undefined;
	const years = (each: number) => paybackYearsOf(amount, yearlyFeedKg, each);
	return { value: years(margin.value), low: years(margin.high), high: years(margin.low) };
}

/** The measured inputs that a margin hangs on, with their intervals, which reach as far as limits of detection leave open. */
function measuredOf({ account, draws }: ValuedRun, limited: readonly AccountDraws[], sheet: PriceSheet) {
	const told = (figure: (world: AccountDraws) => Drawn | undefined) =>
		estimateReaching(figure(draws), ...limited.map(figure));
	const soldIn = (world: AccountDraws) => membersOf(account, world, sheet.sold);
	return {
		feedGrade: account.feed.massFraction.reconciled.copper,
		recovery: told((world) => ratioOfDrawn(soldIn(world)?.contentKg.copper, world.feed.contentKg.copper)),
		soldGrade: told((world) => soldIn(world)?.massFraction.copper),
	};
}

function cannotOf(account: RunAccount, draws: AccountDraws, sheet: PriceSheet): string[] {
	const found: string[] = [];
	if (sheet.metals.copper === undefined) {
		found.push(
			'No copper price is entered: worth and break-even price need one. How much metal the waste holds is told without one.',
		);
	}
	const of = (what: (product: RunAccount['products'][number]) => boolean) =>
		account.products.filter(what).map(({ name }) => name);
	const unweighed = of(({ dryMassKg }) => dryMassKg.reconciled === undefined);
	const ungraded = of(({ massFraction }) => massFraction.reconciled.copper === undefined);
	if (unweighed.length > 0 && draws.feed.massKg === undefined) {
		found.push(
			`There is no weight of ${unweighed.join(', ')} and none of the feed: nothing per ton can be worked out. Weighing either is enough; grades stand.`,
		);
	} else if (unweighed.length > 0) {
		found.push(`There is no weight of ${unweighed.join(', ')}: what it took is not known. The rest stands.`);
	}
	if (ungraded.length > 0) {
		const isSold = account.products.some(({ name, role }) => ungraded.includes(name) && sheet.sold.includes(role));
		const margin = isSold ? ', and there is no margin' : '; the margin rests on what is sold alone';
		found.push(`There is no grade of ${ungraded.join(', ')}: the metal in the waste is not known as a whole${margin}.`);
	}
	const isLossUngraded = draws.loss !== undefined && draws.loss.contentKg.copper === undefined;
	if (
		ungraded.length === 0 &&
		draws.feed.massFraction.copper === undefined &&
		(isLossUngraded || account.isPartMissing)
	) {
		const what = account.isPartMissing ? 'much of the feed is in no bin' : 'what was lost has no grade';
		found.push(
			`The metal in the waste is not known as a whole, since ${what}; the margin rests on what is sold alone.`,
		);
	}
	const sold = membersOf(account, draws, sheet.sold);
	if (sold === undefined) found.push(`The run has no ${sheet.sold.join(' or ')}, so nothing is sold.`);
	const unknown = COMPONENTS.filter(
		(component) =>
			component !== 'copper' && bearsOnMargin(component, sheet) && sold?.massFraction[component] === undefined,
	);
	if (sold !== undefined && unknown.length > 0) {
		found.push(
			`What is sold has no grade of ${unknown.join(' and ')}, which a price or penalty rests on, so there is no margin. ` +
				'A photo gives it; without that price or penalty the margin is worked out.',
		);
	}
	return found;
}

/** Without the entries that are undefined. */
function present<Whole extends object>(whole: { [Key in keyof Whole]: Whole[Key] | undefined }): Whole {
	return Object.fromEntries(Object.entries(whole).filter(([, value]) => value !== undefined)) as Whole; // only absent ones are dropped
}

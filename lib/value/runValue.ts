import type { AccountDraws } from '../balance/account';
import { productCeiling } from '../balance/detectionCeiling';
import { type Drawn, drawnFrom, estimateOfDrawn, ratioOfDrawn } from '../balance/drawn';
import { togetherOf } from '../balance/performance';
import type { RunAccount } from '../balance/runAccount';
import { COMPONENTS, type Component } from '../material/classes';
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

/** A run with the draws its money is reckoned from. */
export interface ValuedRun {
	readonly account: RunAccount;
	readonly draws: AccountDraws;
}

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
	const lostCeiling = lostCeilingOf({ account, draws });
	const price = sheet.metals.copper === undefined ? undefined : rates.pricePerKg.copper;
	const priced = (kg: Drawn | undefined) =>
		kg && price !== undefined ? drawnFrom([kg], (amount) => amount * price) : undefined;
	return present({
		currency,
		copperInWaste: account.feed.massFraction.reconciled.copper,
		copperInTailings: estimateOfDrawn(lost, lostCeiling),
		worthInWaste: price === undefined ? undefined : timesOf(account.feed.massFraction.reconciled.copper, price),
		worthInTailings: estimateOfDrawn(priced(lost), priced(lostCeiling)),
		...marginOfRun({ account, draws }, sheet, rates),
	});
}

/** An estimate so many times over. */
function timesOf(estimate: Estimate | undefined, factor: number): Estimate | undefined {
	if (estimate === undefined) return undefined;
	const { value, low, high } = estimate;
	return { ...estimate, value: value * factor, low: low * factor, high: high * factor };
}

/** What the tailings could hold at most, kilograms per kilogram of waste fed, where their copper is below detection. */
function lostCeilingOf({ account, draws }: ValuedRun): Drawn | undefined {
	if (account.together.tailings?.massFraction.copper?.belowDetectionLimit !== true) return undefined;
	const tailings = account.products.filter(({ role }) => role === 'tailings');
	const most = togetherOf(tailings.map(({ id }) => productCeiling({ account, draws }, id)));
	return ratioOfDrawn(most.contentKg.copper, draws.feed.massKg);
}

/**
 * Net margin per kilogram of dry waste as draws, for setting one run's worth against another's.
 *
 * @returns undefined where no metal has a price or what is sold is not determined
 * @throws TrayError `usage` when the sheet mixes currencies
 */
export function marginDrawnOf({ account, draws }: ValuedRun, sheet: PriceSheet): Drawn | undefined {
	currencyOf(sheet);
	const sold = soldDraws(account, draws, sheet);
	if (sold === undefined || PRICED_METALS.every((metal) => sheet.metals[metal] === undefined)) return undefined;
	const rates = ratesOf(sheet);
	return drawnFrom(sold.figures, (...parts) => marginOf(soldOf(parts), rates));
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
	const sold = soldDraws(account, draws, sheet);
	const isPriced = PRICED_METALS.some((metal) => sheet.metals[metal] !== undefined);
	if (sold === undefined || !isPriced) return { sensitivities: [], cannot };
	const along = (figure: (sold: SoldPerKg) => number) => drawnFrom(sold.figures, (...parts) => figure(soldOf(parts)));
	const margin = along((one) => marginOf(one, rates));
	const feedGrade = draws.feed.massFraction.copper;
	const breakEvenGrade =
		feedGrade &&
		drawnFrom([...sold.figures, feedGrade], (...parts: number[]) =>
			breakEvenFeedGradeOf(soldOf(parts), rates, parts.at(-1) ?? Number.NaN),
		);
	const breakEvenFeedGrade = estimateOfDrawn(breakEvenGrade);
	const paysAtNoGrade = breakEvenFeedGrade !== undefined && breakEvenFeedGrade.low > 1;
	const { investment } = sheet;
	return present({
		lines: MARGIN_LINES.flatMap((line) => {
			const perKg = estimateOfDrawn(along((one) => marginLinesOf(one, rates)[line]));
			return perKg === undefined || (perKg.value === 0 && perKg.low === perKg.high) ? [] : [{ line, perKg }];
		}),
		marginPerKg: estimateOfDrawn(margin),
		marginPerRun: draws.feed.massKg && estimateOfDrawn(drawnFrom([margin, draws.feed.massKg], (each, kg) => each * kg)),
		probabilityPays: margin.draws.filter((each) => each > 0).length / margin.draws.length,
		breakEvenPricePerKg: sheet.metals.copper && estimateOfDrawn(along((one) => breakEvenPriceOf(one, rates))),
		breakEvenFeedGrade: paysAtNoGrade ? undefined : breakEvenFeedGrade && cappedShare(breakEvenFeedGrade),
		paybackYears: investment && paybackOf(margin, investment),
		sensitivities: sensitivitiesOf(
			soldOf(sold.figures.map(({ value }) => value)),
			sheet,
			measuredOf(account, draws, sheet),
		),
		cannot: paysAtNoGrade ? [...cannot, PAYS_AT_NO_GRADE] : cannot,
	});
}

const PAYS_AT_NO_GRADE =
	'No copper in the waste breaks even: even waste of nothing but copper would not pay at these prices.';

/** No waste holds more than all copper. */
function cappedShare({ value, low, high }: Estimate): Estimate {
	return { value: Math.min(1, value), low, high: Math.min(1, high) };
}

/** Payback decreases with the margin, so its interval is that of the margin turned round. */
function paybackOf(
	margin: Drawn,
	{ amount, yearlyFeedKg }: NonNullable<PriceSheet['investment']>,
): Estimate | undefined {
	const estimate = estimateOfDrawn(margin);
	if (estimate === undefined) return undefined;
	const years = (each: number) => paybackYearsOf(amount, yearlyFeedKg, each);
	return { value: years(estimate.value), low: years(estimate.high), high: years(estimate.low) };
}

const SOLD_PARTS = ['mass', ...COMPONENTS] as const;

function soldOf(parts: readonly number[]): SoldPerKg {
	return Object.fromEntries(SOLD_PARTS.map((part, k) => [part, parts[k] ?? Number.NaN])) as SoldPerKg; // all parts listed
}

/**
 * What is sold per kilogram of waste as draws, in the order of `SOLD_PARTS`; undefined where a part that bears on the margin
 * is not determined. One that no price and no penalty touches counts as nothing.
 */
function soldDraws(account: RunAccount, draws: AccountDraws, sheet: PriceSheet) {
	const sold = membersOf(account, draws, sheet.sold);
	if (sold === undefined) return undefined;
	const idle = { value: 0, draws: new Float64Array(account.drawCount) };
	const figures = [sold.massKg, ...COMPONENTS.map((component) => sold.contentKg[component])].map((part, k) => {
		const component = COMPONENTS[k - 1];
		const isIdle = part === undefined && component !== undefined && !bearsOnMargin(component, sheet);
		return isIdle ? idle : ratioOfDrawn(part, draws.feed.massKg);
	});
	const known = figures.filter((figure) => figure !== undefined);
	return known.length === SOLD_PARTS.length ? { figures: known } : undefined;
}

/** Whether what is sold is paid or charged by its grade of a component. */
function bearsOnMargin(component: Component, sheet: PriceSheet): boolean {
	return (
		PRICED_METALS.some((metal) => metal === component && sheet.metals[metal] !== undefined) ||
		sheet.penalties.some((penalty) => penalty.component === component)
	);
}

function membersOf({ products }: RunAccount, draws: AccountDraws, roles: PriceSheet['sold']) {
	const members = products.flatMap(({ id, role }) => (roles.includes(role) ? [draws.products[id]!] : []));
	return members.length === 0 ? undefined : togetherOf(members);
}

/** The measured inputs that a margin hangs on, with their intervals. */
function measuredOf(account: RunAccount, draws: AccountDraws, sheet: PriceSheet) {
	const sold = membersOf(account, draws, sheet.sold);
	return {
		feedGrade: account.feed.massFraction.reconciled.copper,
		recovery: estimateOfDrawn(ratioOfDrawn(sold?.contentKg.copper, draws.feed.contentKg.copper)),
		soldGrade: estimateOfDrawn(sold?.massFraction.copper),
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

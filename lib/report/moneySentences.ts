import type { Estimate } from '../quantity/quantity';
import { decimalsFor } from '../quantity/roundForPrint';
import { KG_PER_UNIT, type MassUnit } from '../quantity/units';
import type { MarginLine } from '../value/marginModel';
import type { PriceSheet } from '../value/priceSheet';
import type { RunValue } from '../value/runValue';
import type { SensitiveInput, Sensitivity } from '../value/sensitivity';
import type { WorthDifference } from '../value/worthDifference';
import {
	isUntold,
	limitWords,
	printEstimate,
	printKept,
	printNumber,
	printPercent,
	printPercentEstimate,
	printPlain,
	printShare,
	printUpperLimit,
} from './format';

/** Said wherever money stands. */
export const MONEY_SENTENCE =
	'Prices are as entered, never fetched. Ranges hold the uncertainty of weights and grades alone; what the prices do is in the sensitivities.';

/** Units that money is given per, as read aloud. */
export const TON_NAMES: Readonly<Record<MassUnit, string>> = {
	kg: 'kg',
	g: 'g',
	lb: 'lb',
	oz: 'oz',
	shortTon: 'short ton',
	t: 'tonne',
};

/** What is taken off a margin, and what disposal saves. */
const CHARGE_NAMES = {
	penalties: 'Penalties',
	treatment: 'Treatment',
	freight: 'Freight',
	water: 'Water',
	power: 'Power',
	labour: 'Labour',
	otherCosts: 'Other costs',
	disposalSaved: 'Disposal saved',
} as const;

/** Lines of a margin as written on screens. */
export const LINE_NAMES: Readonly<Record<MarginLine, string>> = {
	copper: 'Copper paid for',
	aluminium: 'Aluminium paid for',
	...CHARGE_NAMES,
};

/** Inputs of a margin as written on screens. */
export const INPUT_NAMES: Readonly<Record<SensitiveInput, string>> = {
	feedGrade: 'Copper in the waste',
	recovery: 'Copper recovery',
	soldGrade: 'Copper grade of what is sold',
	copperPrice: 'Copper price',
	copperPayable: 'Payable share of copper',
	copperDeduction: 'Deduction of copper',
	aluminiumPrice: 'Aluminium price',
	aluminiumPayable: 'Payable share of aluminium',
	aluminiumDeduction: 'Deduction of aluminium',
	...CHARGE_NAMES,
};

/** Money with its range: `USD 157 (149 to 166)`; where it rests on a share below detection `under USD 40`. */
export function printMoney(money: Estimate, currency: string, factor = 1): string {
	if (money.belowDetectionLimit) {
		return `under ${currency}\u00a0${printUpperLimit(money.high, factor)}`;
	}
	if (money.low === money.high) return printAmount(money.value * factor, currency);
	const { value, low, high } = printEstimate(money, factor);
	return `${currency}\u00a0${value} (${low} to ${high})`;
}

/** Money without a range, to cents where it is small: `USD 4.00`. */
function printAmount(amount: number, currency: string): string {
	return `${currency}\u00a0${printNumber(amount, Math.abs(amount) < 1000 ? 2 : 0)}`;
}

/** A price with every decimal that was entered: `USD 4.1255`. */
export function printPrice(amount: number, currency: string): string {
	const entered = /\.(\d+)$/.exec(printKept(amount))?.[1]?.length ?? 0;
	return `${currency}\u00a0${printNumber(amount, Math.max(entered, Math.abs(amount) < 1000 ? 2 : 0))}`;
}

/** What the owner of the waste should know first: metal in it, by the ton. */
export function metalSentence({ copperInWaste, worthInWaste, currency }: RunValue, perTon: 'shortTon' | 't'): string {
	if (copperInWaste === undefined) return 'The copper in the waste is not known: a weight or a grade is missing.';
	if (isUntold(copperInWaste))
		return `The copper in the dry waste ${printShare(copperInWaste)}. More spreads, or a check by hand or laboratory, tell more.`;
	const lbPerShortTon = KG_PER_UNIT.shortTon / KG_PER_UNIT.lb;
	const lb = printEstimate(copperInWaste, lbPerShortTon);
	const kg = printEstimate(copperInWaste, KG_PER_UNIT.t);
	const most = (factor: number) => printUpperLimit(copperInWaste.high, factor);
	const amounts = copperInWaste.belowDetectionLimit
		? `under ${most(lbPerShortTon)} lb per short ton, under ${most(KG_PER_UNIT.t)} kg per tonne`
		: `${lb.value} lb per short ton (${lb.low} to ${lb.high}), ${kg.value} kg per tonne (${kg.low} to ${kg.high})`;
	const worth =
		worthInWaste === undefined || currency === undefined
			? ''
			: ` At the entered price that is ${printMoney(worthInWaste, currency, KG_PER_UNIT[perTon])} per ${TON_NAMES[perTon]}.`;
	const holds = copperInWaste.belowDetectionLimit
		? `The copper in the dry waste is ${printShare(copperInWaste)}`
		: `The dry waste holds ${printShare(copperInWaste)} copper`;
	return `${holds}: ${amounts}.${worth}`;
}

/** Copper that the tailings took, by the ton of waste, and its worth; undefined where it is not known. */
export function tailingsText(
	{ copperInTailings, worthInTailings, currency }: RunValue,
	perTon: 'shortTon' | 't',
): string | undefined {
	if (copperInTailings === undefined) return undefined;
	const [unit, factor] =
		perTon === 't' ? (['kg', KG_PER_UNIT.t] as const) : (['lb', KG_PER_UNIT.shortTon / KG_PER_UNIT.lb] as const);
	const { value, low, high } = printEstimate(copperInTailings, factor);
	if (isUntold(copperInTailings)) return limitWords(copperInTailings);
	const isTold = copperInTailings.belowDetectionLimit !== true;
	const amount = isTold
		? `${value}\u00a0${unit}`
		: `below detection, under ${printUpperLimit(copperInTailings.high, factor)}\u00a0${unit}`;
	return (
		`${amount} per ${TON_NAMES[perTon]} of waste${isTold ? ` (${low} to ${high})` : ''}` +
		(worthInTailings === undefined || currency === undefined
			? ''
			: `, at the entered price ${printMoney(worthInTailings, currency, KG_PER_UNIT[perTon])}`)
	);
}

/** The margin in one sentence with the chance that it pays. */
export function marginSentence({ marginPerKg, probabilityPays, currency }: RunValue, perTon: 'shortTon' | 't'): string {
	if (marginPerKg === undefined || currency === undefined) return 'The net margin can\u2019t be worked out yet.';
	const money = printMoney(marginPerKg, currency, KG_PER_UNIT[perTon]);
	const chance = probabilityPays ?? Number.NaN;
	const words =
		chance > 0.975
			? 'At these prices it pays.'
			: chance < 0.025
				? 'At these prices it does not pay.'
				: `At these prices it pays in ${printPercent(chance)} of cases: weights and grades do not settle it.`;
	return `Net margin per ${TON_NAMES[perTon]} of dry waste: ${money}. ${words}`;
}

/** What one run brings more or less than another, in one sentence. */
export function worthDifferenceSentence(
	{ perKg, probabilityMore }: WorthDifference,
	{ base, other }: { readonly base: string; readonly other: string },
	sheet: PriceSheet,
	currency: string,
): string {
	const money = printMoney(perKg, currency, KG_PER_UNIT[sheet.perTon]);
	const per = TON_NAMES[sheet.perTon];
	if (perKg.low > 0)
		return `At the prices on record ${other} brings more than ${base}: ${money} per ${per} of dry waste.`;
	if (perKg.high < 0)
		return `At the prices on record ${other} brings less than ${base}: ${money} per ${per} of dry waste.`;
	return (
		`At the prices on record ${other} and ${base} can't be told apart: ${money} per ${per} of dry waste; ` +
		`${other} brings more in ${printPercent(probabilityMore)} of cases.`
	);
}

/** Break-even copper price in the unit that the price was entered in. */
export function breakEvenPriceText(value: RunValue, sheet: PriceSheet): string | undefined {
	const price = sheet.metals.copper?.price;
	if (price === undefined || value.breakEvenPricePerKg === undefined || value.currency === undefined) return undefined;
	return `${printMoney(value.breakEvenPricePerKg, value.currency, KG_PER_UNIT[price.per])} per ${TON_NAMES[price.per]}`;
}

/** At what copper in the waste it neither wins nor loses; undefined where that is not known. */
export function breakEvenGradeText({ breakEvenFeedGrade: grade }: RunValue): string | undefined {
	if (grade === undefined) return undefined;
	const doubt = grade.high < 1 ? '' : ', perhaps none at these prices';
	return `${printShare(grade)}${doubt}, recovery and product as in this run`;
}

/** Payback in years, in months where it is short, or never. */
export function paybackText({ paybackYears }: RunValue): string | undefined {
	if (paybackYears === undefined) return undefined;
	const { value, low, high } = paybackYears;
	if (!Number.isFinite(value)) return 'never at these prices';
	if (high * 12 < 1) return 'under a month';
	const [unit, per] = value < 2 ? ['months', 12] : ['years', 1];
	if (!Number.isFinite(high)) {
		if (value * 12 < 1) return 'under a month, perhaps never';
		const least = low * per < 0.1 ? 'under 0.1' : printNumber(low * per, low * per < 1 ? 1 : 0);
		return `${printNumber(value * per, 0)} ${unit} (${least} to never)`;
	}
	const printed = printEstimate({ value, low, high }, per, 1);
	return `${printed.value} ${unit} (${printed.low} to ${printed.high})`;
}

/** The range that an input was moved over: `USD 3.60 to 4.40 per lb`, `3.1 % to 4.9 %`. */
export function inputRangeText(row: Sensitivity, sheet: PriceSheet, currency: string): string {
	if (row.unit === 'fraction' && row.origin === 'measured') {
		const { low, high } = printPercentEstimate({ value: row.low, low: row.low, high: row.high });
		return `${low}\u00a0% to ${high}\u00a0%`;
	}
	if (row.unit === 'fraction') {
		const [low, high] = [row.low, row.high].map((share) => `${printPlain(100 * share, 2)}\u00a0%`);
		return `${low} to ${high}`;
	}
	if (row.unit === 'factor') return `${printPercent(row.low)} to ${printPercent(row.high)} of what was entered`;
	const per = perOf(row.input, sheet);
	const decimals = Math.max(2, decimalsFor((row.high - row.low) * KG_PER_UNIT[per]));
	const of = (amount: number) => printNumber(amount * KG_PER_UNIT[per], decimals);
	return `${currency}\u00a0${of(row.low)} to ${of(row.high)} per ${TON_NAMES[per]}`;
}

/** What an input's low and its high end do to the margin, in money per ton of waste: `−330 to +330`. */
export function marginMoveText(
	{ marginAtLow, marginAtHigh }: Sensitivity,
	marginPerKg: Estimate,
	perTon: 'shortTon' | 't',
): string {
	const [low, high] = [marginAtLow, marginAtHigh].map((margin) => {
		const move = (margin - marginPerKg.value) * KG_PER_UNIT[perTon];
		// two digits of a move: its input is not known better
		const text = move === 0 ? '0' : printNumber(move, decimalsFor(Math.abs(move)));
		return move > 0 ? `+${text}` : text;
	});
	return `${low} to ${high}`;
}

function perOf(input: SensitiveInput, sheet: PriceSheet): MassUnit {
	if (input === 'copperPrice') return sheet.metals.copper?.price.per ?? 'kg';
	if (input === 'aluminiumPrice') return sheet.metals.aluminium?.price.per ?? 'kg';
	const entered = sheet[input as 'treatment']; // any amount of the sheet has a unit
	return entered?.per ?? 'kg';
}

import type { Estimate, Quantity } from '../quantity/quantity';
import { decimalsFor, roundEstimate, roundForPrint, roundTo, roundUp } from '../quantity/roundForPrint';
import { fromKg, type MassUnit } from '../quantity/units';
import { byLanguage, presentation, shownUnit } from './presentation';

/** Between a number and its unit, and between thousands: never broken at the end of a line. */
const NBSP = '\u00a0';
const MINUS = '\u2212';

/** Largest number of decimals that a screen shows. */
const MOST_DECIMALS = 6;

/** A share in per cent is never shown finer than this many decimals: no photo tells more. */
const MOST_PERCENT_DECIMALS = 2;

/** Smallest limit of detection shown, per cent; what is claimed to be lower is printed as this. */
const LEAST_LIMIT_PERCENT = 0.01;

/** Finest limit of a bare ratio shown. */
const LEAST_RATIO = 0.01;

/** An amount as printed: best value and the ends of its range. */
export interface PrintedEstimate {
	readonly value: string;
	readonly low: string;
	readonly high: string;
}

/**
 * Value and range for a screen: one significant digit of the range's half-width, two where that digit is a 1; tens and hundreds as well.
 *
 * @param per - what the amount is multiplied by before printing: 100 for shares in per cent
 * @source GUM 7.2.6 for rounding by the uncertainty; the single digit on screens is our choice
 */
export function printEstimate(estimate: Estimate, per = 1, mostDecimals = MOST_DECIMALS): PrintedEstimate {
	const scaled = { value: estimate.value * per, low: estimate.low * per, high: estimate.high * per };
	const decimals = Math.min(mostDecimals, decimalsOf(scaled));
	const print = (amount: number) => printNumber(amount, decimals);
	return { value: print(scaled.value), low: print(scaled.low), high: print(scaled.high) };
}

function decimalsOf(estimate: Estimate): number {
	const halfWidth = (estimate.high - estimate.low) / 2;
	if (!(halfWidth > 0)) return Math.min(MOST_DECIMALS, roundEstimate(estimate).decimals);
	const leading = halfWidth.toExponential(1).charAt(0);
	const place = decimalsFor(halfWidth);
	return Math.min(MOST_DECIMALS, leading === '1' ? place : place - 1);
}

/**
 * A number with a fixed count of decimals, a true minus sign and thousands set apart: `1 240.5`, or `1 240,5` for who writes so.
 *
 * @param decimals - below 0 for tens, hundreds and so on: `1 200`
 */
export function printNumber(amount: number, decimals: number): string {
	const size = Math.abs(amount);
	const [whole = '0', rest] = (decimals < 0 ? roundTo(size, decimals).toFixed(0) : size.toFixed(decimals)).split('.');
	const grouped = whole.replace(/\B(?=(\d{3})+(?!\d))/g, NBSP);
	const digits = rest === undefined ? grouped : `${grouped}${presentation().decimalSign}${rest}`;
	return amount < 0 && /[1-9]/.test(digits) ? MINUS + digits : digits;
}

/** A count or a rarely fractional number as short as it can be: `12`, `7.5`. */
export function printPlain(amount: number, mostDecimals = 3): string {
	const text = printNumber(amount, mostDecimals);
	return /[.,]/.test(text) ? text.replace(/[.,]?0+$/, '') : text;
}

/** Value and range of a share in per cent, without the sign, for a table whose head says so. */
export function printPercentEstimate(share: Estimate): PrintedEstimate {
	return printEstimate(share, 100, MOST_PERCENT_DECIMALS);
}

/** The limit to quote for a share below its detection limit, in per cent without the sign. */
export function printLimit(share: Estimate): string {
	return printUpperLimit(Math.max(LEAST_LIMIT_PERCENT / 100, share.high), 100, MOST_PERCENT_DECIMALS);
}

/** The limit to quote for a bare ratio that rests on a share below its detection limit. */
export function printRatioLimit(ratio: Estimate): string {
	return printUpperLimit(Math.max(LEAST_RATIO, ratio.high), 1, 2);
}

/** The limit to quote for a mass that rests on a share below its detection limit, for a column headed by `massHead`. */
export function printMassLimit(massKg: Estimate): string {
	return printUpperLimit(massKg.high, fromKg(1, shownUnit('kg')));
}

/**
 * An upper limit to two significant digits, never rounded down: what lies under 94 % need not lie under 90 %.
 *
 * @param per - what it is multiplied by before printing: 100 for shares in per cent
 */
export function printUpperLimit(high: number, per = 1, mostDecimals = MOST_DECIMALS): string {
	const amount = high * per;
	const place = (size: number) => (size > 0 ? Math.min(mostDecimals, decimalsFor(size)) : 0);
	const rounded = roundUp(amount, place(Math.abs(amount)));
	return printNumber(rounded, place(Math.abs(rounded)));
}

/**
 * The ends of a range that stands alone, rounded as its width asks for and outwards, so that what is printed holds the range.
 *
 * @param per - what it is multiplied by before printing: 100 for shares in per cent
 */
export function printBounds(range: Estimate, per: number): Pick<PrintedEstimate, 'low' | 'high'> {
	const [low, high] = [range.low * per, range.high * per];
	const decimals = decimalsOf({ value: low, low, high });
	return { low: printNumber(-roundUp(-low, decimals), decimals), high: printNumber(roundUp(high, decimals), decimals) };
}

/** Who knows nothing may claim as much: of shares that may be anything, 95 in 100 lie under 95 %. */
const SAYS_NOTHING_FROM = 0.95;

/** True for a share below its detection limit where that limit is so high that it says nothing. */
export function isUntold({ belowDetectionLimit, high }: Estimate): boolean {
	return belowDetectionLimit === true && high >= SAYS_NOTHING_FROM;
}

/** What stands beside the range of a share that is below its detection limit. */
export function limitWords(share: Estimate): string {
	return isUntold(share) ? 'can\u2019t be told' : 'below detection';
}

/**
 * A share with its range: `96 % (94 to 98)`; below its detection limit: `below detection (under 0.9 %)`, and where even that says nothing
 * `can’t be told (0 to 100 %)`.
 *
 * A range too narrow to show says so without pretending to be exact: `over 99.99 %`.
 */
export function printShare(share: Estimate): string {
	if (isUntold(share)) return `${limitWords(share)} (0 to ${printPercent(1)})`;
	if (share.belowDetectionLimit) return `${limitWords(share)} (under ${printLimit(share)}${NBSP}%)`;
	const least = LEAST_LIMIT_PERCENT / 100;
	if (share.low > 1 - least) return `over ${printPercent(1 - least, MOST_PERCENT_DECIMALS)}`;
	if (share.high < least) return `under ${printPercent(least, MOST_PERCENT_DECIMALS)}`;
	return printRatioPercent(share);
}

/** The same where room is short and what is below detection is told beside it: `under 0.9 %`. */
export function printShareShort(share: Estimate): string {
	if (isUntold(share)) return limitWords(share);
	return share.belowDetectionLimit ? `under ${printLimit(share)}${NBSP}%` : printShare(share);
}

/** A ratio that may pass one, products over feed for example, in per cent with its range: `108 % (107 to 109)`. */
export function printRatioPercent(ratio: Estimate): string {
	const { value, low, high } = printPercentEstimate(ratio);
	return `${value}${NBSP}% (${low} to ${high})`;
}

/** A share without a range, for what is exact or stands beside its range: `38 %`. */
export function printPercent(fraction: number, decimals = 0): string {
	return `${printNumber(fraction * 100, decimals)}${NBSP}%`;
}

/**
 * A mass with its range: `4.12 kg (4.11 to 4.13)`; where it rests on a share below detection `under 0.05 kg`.
 *
 * @param unit - as entered; shown in the unit that the person who looks has chosen
 */
export function printMass(massKg: Estimate, unit: MassUnit = 'kg'): string {
	const shown = shownUnit(unit);
	if (massKg.belowDetectionLimit) {
		return `under ${printUpperLimit(massKg.high, fromKg(1, shown))}${NBSP}${UNIT_TEXT[shown]}`;
	}
	const { value, low, high } = printEstimate(massKg, fromKg(1, shown));
	return `${value}${NBSP}${UNIT_TEXT[shown]} (${low} to ${high})`;
}

/** No scale shows more digits. Common practice, no source. */
const SCALE_DIGITS = 5;

/**
 * A mass as entered, at most as many decimals as a scale shows, in the unit that the person who looks has chosen.
 *
 * @param stepKg - what the scale was read to: in the unit entered, its last noughts stay
 */
export function printExactMass(massKg: number, unit: MassUnit = 'kg', stepKg?: number): string {
	const shown = shownUnit(unit);
	const amount = fromKg(massKg, shown);
	// a change of units must not make digits up, and a few grams written in kilograms must not lose any
	const told = shown === unit ? amount : Number(amount.toPrecision(SCALE_DIGITS));
	const zeros = amount === 0 ? 0 : Math.max(0, -Math.floor(Math.log10(Math.abs(amount))) - 1);
	const text = printPlain(told, SCALE_DIGITS - 1 + zeros);
	const ofStep =
		stepKg === undefined || shown !== unit ? 0 : decimalsIn(printPlain(fromKg(stepKg, unit), SCALE_DIGITS));
	return `${decimalsIn(text) < ofStep ? printNumber(told, ofStep) : text}${NBSP}${UNIT_TEXT[shown]}`;
}

function decimalsIn(printed: string): number {
	return printed.split(/[.,]/)[1]?.length ?? 0;
}

/**
 * A sentence that was made and kept for nobody in particular, with its kilograms and decimal points as the person who looks
 * has chosen; no line ends between a number and its unit, and what stands in quotes is somebody's own words.
 */
export function printSentence(kept: string): string {
	const inUnits =
		shownUnit('kg') === 'kg'
			? kept
			: kept.replace(/(\d+(?:\.\d+)?)[ \u00a0]kg\b(?!\/)/g, (_, kg) => printAboutMass(Number(kg)));
	return printRefusal(inUnits);
}

/** What is wrong with something typed, in the units of its form, with the decimal sign of the person who looks. */
export function printRefusal(message: string): string {
	const plain = message.replace(/(\d) (?=(?:%|kg|g|mm|°C)(?![\p{L}\d]))/gu, `$1${NBSP}`);
	if (presentation().decimalSign === '.') return plain;
	return plain.replace(/"[^"]*"|\d\.(?=\d)/g, (part) => (part.startsWith('"') ? part : part.replace('.', ',')));
}

/** A mass to three digits, for what was rounded before. */
function printAboutMass(massKg: number): string {
	const unit = shownUnit('kg');
	return `${Number(fromKg(massKg, unit).toPrecision(3))}${NBSP}${UNIT_TEXT[unit]}`;
}

/** A column's head with the unit that masses are shown in: `Measured, kg`. */
export function massHead(name: string): string {
	return `${name}, ${UNIT_TEXT[shownUnit('kg')]}`;
}

/** Value and range of a mass for a column headed by `massHead`. */
export function printMassEstimate(massKg: Estimate): PrintedEstimate {
	return printEstimate(massKg, fromKg(1, shownUnit('kg')));
}

/** A number with its unit: `7.6 px/mm`. */
export function printWithUnit(amount: number, unit: string, decimals = 1): string {
	return `${printNumber(amount, decimals)}${NBSP}${unit}`;
}

/** Value and range of a bare ratio, such as an upgrade ratio. */
export function printRatioEstimate(ratio: Estimate): PrintedEstimate {
	return printEstimate(ratio, 1, 2);
}

/** Units as written beside numbers. */
export const UNIT_TEXT: Readonly<Record<MassUnit, string>> = {
	kg: 'kg',
	g: 'g',
	lb: 'lb',
	oz: 'oz',
	shortTon: 'short ton',
	t: 't',
};

/** A file's size: `2.4 MB`. */
export function printBytes(sizeBytes: number): string {
	return sizeBytes < 1e6
		? `${printNumber(sizeBytes / 1e3, 0)}${NBSP}kB`
		: `${printNumber(sizeBytes / 1e6, 1)}${NBSP}MB`;
}

/** A calendar day, `2026-03-05`, as the person who looks writes it: `5 Mar 2026`. */
export function printDay(isoDay: string): string {
	const day = new Date(`${isoDay.slice(0, 10)}T00:00:00Z`);
	return dayWriter(presentation().locale).format(day).replaceAll(' ', NBSP);
}

const dayWriter = byLanguage(
	(tag) => new Intl.DateTimeFormat(tag, { dateStyle: 'medium', timeZone: 'UTC', numberingSystem: 'latn' }),
);

/** A number as it is kept in files: a decimal point, no grouping, no trailing digits from a change of units. */
export function printKept(amount: number): string {
	return String(Number(amount.toPrecision(10)));
}

/**
 * The same as it goes back into a field, with the decimal sign of the person who looks; a point where a comma could be taken
 * to set off thousands (`1,240` would be refused when it is sent).
 */
export function printEntered(amount: number): string {
	return printTyped(printKept(amount));
}

/** The same for what was typed or stood in a file, `5.10 kg`: all its digits stay, since the last one says how fine the scale was. */
export function printTyped(text: string): string {
	const [digits = ''] = /^\s*-?\d+\.\d+(?=\D*$)/.exec(text) ?? [];
	if (presentation().decimalSign === '.' || /^\s*-?[1-9]\d{0,2}\.\d{3}$/.test(digits)) return text;
	return digits.replace('.', ',') + text.slice(digits.length);
}

/** A value with one standard uncertainty, for reference tables: `8930 ± 20`. */
export function printQuantity(quantity: Quantity): string {
	if (!(quantity.u > 0)) return printPlain(quantity.value);
	const { value, u, decimals } = roundForPrint(quantity);
	return `${printNumber(value, decimals)} ± ${printNumber(u, decimals)}`;
}

/** A share with one standard uncertainty in per cent, without the sign: `98.0 ± 0.7`. */
export function printQuantityPercent({ value, u }: Quantity): string {
	return printQuantity({ value: 100 * value, u: 100 * u });
}

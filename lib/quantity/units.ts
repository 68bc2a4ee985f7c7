import { TrayError } from '../errors/TrayError';
import { parseNumber, readNumber } from './parseNumber';

/** Units a weight may be given in; `t` is the tonne of 1000 kg, `shortTon` the ton of 2000 lb. */
export const MASS_UNITS = ['kg', 'g', 'lb', 'oz', 'shortTon', 't'] as const;
export type MassUnit = (typeof MASS_UNITS)[number];

/**
 * Kilograms in one of each unit, exact.
 *
 * @source international yard and pound agreement (1959): 1 lb = 0.45359237 kg; 1 oz = 1/16 lb, 1 short ton = 2000 lb: NIST
 *   Special Publication 811, appendix B.8; tonne: SI Brochure, table 8
 */
export const KG_PER_UNIT: Readonly<Record<MassUnit, number>> = {
	kg: 1,
	g: 0.001,
	lb: 0.45359237,
	oz: 0.028349523125,
	shortTon: 907.18474,
	t: 1000,
};

/** Words people write for each unit, lower case; the bare word ton is missing because it is two different things. */
const UNIT_WORDS: Readonly<Record<MassUnit, readonly string[]>> = {
	kg: ['kg', 'kgs', 'kilo', 'kilos', 'kilogram', 'kilograms', 'kilogramme', 'kilogrammes'],
	g: ['g', 'gr', 'gram', 'grams', 'gramme', 'grammes'],
	lb: ['lb', 'lbs', 'lb.', 'lbs.', 'pound', 'pounds'],
	oz: ['oz', 'oz.', 'ounce', 'ounces'],
	shortTon: ['short ton', 'short tons', 'shortton', 'us ton', 'us tons'],
	t: ['t', 'tonne', 'tonnes', 'metric ton', 'metric tons'],
};

/**
 * The unit that a word names.
 *
 * @returns undefined when the word names none, or could name two (`ton`)
 */
export function massUnitOf(word: string): MassUnit | undefined {
	const bare = word.trim().toLowerCase().replace(/\s+/g, ' ');
	return MASS_UNITS.find((unit) => unit.toLowerCase() === bare || UNIT_WORDS[unit].includes(bare));
}

/** A mass in kilograms, from a number in the unit. */
export function toKg(amount: number, unit: MassUnit): number {
	return amount * KG_PER_UNIT[unit];
}

/** A mass in the unit, from kilograms. */
export function fromKg(massKg: number, unit: MassUnit): number {
	return massKg / KG_PER_UNIT[unit];
}

/** A mass as it was typed: kilograms, the unit it was given in, and one step of its last digit in kilograms. */
export interface TypedMass {
	readonly massKg: number;
	readonly unit: MassUnit;
	/** What one step of the last typed digit weighs: `12.40 kg` has 0.01, `12 lb` has 0.45359237. */
	readonly lastDigitKg: number;
}

/**
 * Read a mass as typed, with or without its unit: `12,4 kg`, `27.5 lb`, `1 240 g`.
 *
 * @param what - what is weighed, as the sentence's subject: `the gross weight`
 * @param unitWhenBare - the unit of a number that stands alone
 * @throws TrayError `number-unreadable` when it is not one number, or its unit is unknown or could be two
 */
export function readMass(text: string, what: string, unitWhenBare: MassUnit = 'kg'): TypedMass {
	const [, digits = text, word = ''] = /^(.*?\d[.,]?)\s*([a-z][a-z .]*)?$/i.exec(text.trim()) ?? [];
	const unit = word === '' ? unitWhenBare : massUnitOf(word);
	if (unit === undefined) {
		const hint = /^(long )?tons?$/i.test(word.trim())
			? 'Write t for 1000 kg or short ton for 2000 lb.'
			: 'Use kg, g, lb, oz, short ton or t.';
		throw new TrayError('number-unreadable', `The unit "${word.trim()}" of ${lowerFirst(what)} is not known.`, hint);
	}
	const amount = parseNumber(digits) ?? readNumber(text, what, UNIT_WORDS[unit]);
	const decimals = /[.,](\d*)$/.exec(digits.trim())?.[1]?.length ?? 0;
	return { massKg: toKg(amount, unit), unit, lastDigitKg: toKg(Number(`1e-${decimals}`), unit) };
}

function lowerFirst(text: string): string {
	return text.charAt(0).toLowerCase() + text.slice(1);
}

import { knownPerName } from '@/lib/quantity/perName';
import { KG_PER_UNIT, MASS_UNITS, type MassUnit } from '@/lib/quantity/units';
import { printEntered } from '@/lib/report/format';
import {
	DEFAULT_MAY_VARY_BY,
	FEED_COSTS,
	type MoneyPerMass,
	PRICED_METALS,
	type PricedMetal,
	type PriceSheet,
	priceSheetSchema,
} from '@/lib/value/priceSheet';
import type { Problem } from './formState';
import { mergeEdit, SEEN_FIELD } from './mergeEdit';
import { FieldReader } from './readFields';

type Typed = Readonly<Record<string, string>>;

/** Components that a buyer may charge penalties for, with the words of their fields. */
export const PENALTIES = [
	{ component: 'insulation', label: 'insulation' },
	{ component: 'aluminium', label: 'aluminium' },
	{ component: 'other', label: 'other metals and the rest' },
] as const;

/** Charges per mass of product sold, and costs per mass of waste fed, with the words of their fields. */
export const PRODUCT_CHARGES = [
	{ field: 'treatment', label: 'Treatment' },
	{ field: 'freight', label: 'Freight' },
] as const;
export const WASTE_AMOUNTS = [
	{ field: 'water', label: 'Water' },
	{ field: 'power', label: 'Power' },
	{ field: 'labour', label: 'Labour' },
	{ field: 'otherCosts', label: 'Other costs' },
	{ field: 'disposalSaved', label: 'Disposal saved' },
] as const;

const MONEY = { least: 0, most: 1e9, unit: '' };
const PERCENT = { least: 0, most: 100, unit: '%' };

/** What may be sold, as the form offers it. */
export const SOLD_CHOICES = ['concentrate', 'concentrate and middlings'] as const;

/**
 * The price form brought together with what was entered elsewhere since it was opened, so that a page left open takes no price back; there is no
 * sheet while there is a problem.
 */
export function mergePriceForm(
	typed: Typed,
	latest: PriceSheet | undefined,
): { readonly sheet?: PriceSheet | undefined; readonly typed: Typed; readonly problems: readonly Problem[] } {
	const { sheet, fields } = readPriceForm(typed);
	if (sheet === undefined) return { typed, problems: fields.problems };
	// as it would be shown again, or a blank that is kept as nought would pass for a change
	const entered = { ...typedPrices(sheet), [SEEN_FIELD]: typed[SEEN_FIELD] ?? '' };
	const merged = mergeEdit(entered, typedPrices(latest), groupOf);
	if (merged.clashes.length > 0) return { typed: merged.typed, problems: merged.clashes };
	const read = readPriceForm(merged.typed);
	return { sheet: read.sheet, typed: merged.typed, problems: read.fields.problems };
}

/** What the form asks of a metal, each in a field called by the metal and this. */
const METAL_FIELDS = ['Price', 'Currency', 'Per', 'Date', 'Note', 'Payable', 'Deduction'] as const;

/** Fields that stand alone or with their metal's; all charges and costs go together, whose currency and masses are said once. */
const GROUPS = new Map<string, string>([
	...['sold', 'mayVaryBy', 'perTon'].map((field) => [field, field] as const),
	...PRICED_METALS.flatMap((metal) => METAL_FIELDS.map((name) => [`${metal}${name}`, metal] as const)),
]);
const groupOf = (field: string) => GROUPS.get(field) ?? 'charges';

/** Read the price form; there is no sheet while there is a problem. */
export function readPriceForm(typed: Typed): { readonly sheet?: PriceSheet; readonly fields: FieldReader } {
	const fields = new FieldReader(typed);
	const currency = currencyIn(fields, 'chargesCurrency', 'charges and costs');
	const productPer = fields.choice('productPer', MASS_UNITS, 'Choose the mass that charges are per');
	const wastePer = fields.choice('wastePer', MASS_UNITS, 'Choose the mass that costs are per');
	const amounts = (list: readonly { readonly field: string; readonly label: string }[], per: MassUnit) =>
		Object.fromEntries(
			list.flatMap(({ field, label }) => {
				const amount = fields.number(field, label, MONEY);
				return amount === undefined || amount === 0 ? [] : [[field, { amount, currency, per }]];
			}),
		);
	const metals = knownPerName(PRICED_METALS, (metal) => readMetal(fields, typed, metal));
	const vary = fields.number('mayVaryBy', 'How far amounts may vary', { least: 1, most: 90, unit: '%' });
	const investment = readInvestment(fields, currency, wastePer);
	const sheet = {
		deckside: 'prices/1' as const,
		metals,
		sold:
			fields.choice('sold', SOLD_CHOICES, 'Choose what is sold') === 'concentrate'
				? (['concentrate'] as const)
				: (['concentrate', 'middlings'] as const),
		...amounts(PRODUCT_CHARGES, productPer),
		...amounts(WASTE_AMOUNTS, wastePer),
		penalties: PENALTIES.flatMap(({ component, label }) => {
			const amount = fields.number(`${component}Penalty`, `The penalty for ${label}`, MONEY);
			const above = fields.number(`${component}Free`, `What is free of penalty for ${label}`, PERCENT);
			if (amount === undefined || amount === 0) return [];
			return [{ component, above: (above ?? 0) / 100, perPoint: { amount, currency, per: productPer } }];
		}),
		...(investment === undefined ? {} : { investment }),
		mayVaryBy: vary === undefined ? DEFAULT_MAY_VARY_BY : vary / 100,
		perTon: fields.choice('perTon', ['t', 'shortTon'] as const, 'Choose the ton that results are given for'),
	};
	if (fields.problems.length > 0) return { fields };
	const parsed = priceSheetSchema.safeParse(sheet);
	if (parsed.success) return { sheet: parsed.data, fields };
	fields.problem('', parsed.error.issues[0]?.message ?? 'Check the prices.');
	return { fields };
}

function readMetal(fields: FieldReader, typed: Typed, metal: PricedMetal) {
	const at = (name: (typeof METAL_FIELDS)[number]) => `${metal}${name}`;
	if (!fields.has(at('Price'))) return undefined;
	const amount = fields.number(at('Price'), `The ${metal} price`, MONEY);
	if (amount === 0)
		fields.problem(at('Price'), `A ${metal} price of 0 is no price. Enter it, or leave the field empty.`);
	const date = typed[at('Date')] ?? '';
	if (!/^\d{4}-\d{2}-\d{2}$/.test(date)) fields.problem(at('Date'), `Enter the day of the ${metal} price`);
	const payable = fields.number(at('Payable'), `The payable share of ${metal}`, { ...PERCENT, least: 0.1 });
	if (!fields.has(at('Payable'))) fields.problem(at('Payable'), `Enter what share of the ${metal} price is paid, in %`);
	const deduction = fields.number(at('Deduction'), `The deduction of ${metal}`, { least: 0, most: 50, unit: 'points' });
	return {
		price: {
			amount,
			currency: currencyIn(fields, at('Currency'), `the ${metal} price`),
			per: fields.choice(at('Per'), MASS_UNITS, `Choose the mass that the ${metal} price is per`),
		},
		date,
		note: fields.needed(at('Note'), `Note where the ${metal} price is from`, 200),
		payable: (payable ?? Number.NaN) / 100,
		deduction: (deduction ?? 0) / 100,
	};
}

function currencyIn(fields: FieldReader, field: string, what: string): string {
	const text = fields.text(field, 10).toUpperCase();
	if (!/^[A-Z]{3}$/.test(text))
		fields.problem(field, `Enter the currency of ${what} as three letters, for example USD`);
	return text;
}

function readInvestment(fields: FieldReader, currency: string, per: MassUnit) {
	const amount = fields.number('investment', 'The investment', { ...MONEY, most: 1e12 });
	const yearly = fields.number('yearly', 'The yearly amount of waste', { least: 0, most: 1e9, unit: '' });
	if (amount === undefined || amount === 0) return undefined;
	if (yearly === undefined || yearly === 0) {
		fields.problem('yearly', 'Enter how much waste is fed in a year, so that the payback can be worked out');
		return undefined;
	}
	return { amount, currency, yearlyFeedKg: yearly * KG_PER_UNIT[per] };
}

/** Prices as the form's fields show them again. */
export function typedPrices(sheet: PriceSheet | undefined): Typed {
	const per = (list: readonly string[], otherwise: MassUnit) =>
		list.map((field) => sheet?.[field as 'treatment']?.per).find((unit) => unit !== undefined) ?? otherwise;
	const productPer = per(['treatment', 'freight'], sheet?.penalties[0]?.perPoint.per ?? 't');
	const wastePer = per([...FEED_COSTS, 'disposalSaved'], 't');
	const again = (money: MoneyPerMass | undefined, unit: MassUnit) =>
		money === undefined ? '' : printEntered((money.amount / KG_PER_UNIT[money.per]) * KG_PER_UNIT[unit]);
	const typed: Record<string, string> = {
		chargesCurrency: chargesCurrencyOf(sheet),
		productPer,
		wastePer,
		sold: sheet?.sold.includes('middlings') ? 'concentrate and middlings' : 'concentrate',
		mayVaryBy: printEntered(100 * (sheet?.mayVaryBy ?? DEFAULT_MAY_VARY_BY)),
		perTon: sheet?.perTon ?? 't',
		investment: sheet?.investment === undefined ? '' : printEntered(sheet.investment.amount),
		yearly: sheet?.investment === undefined ? '' : printEntered(sheet.investment.yearlyFeedKg / KG_PER_UNIT[wastePer]),
	};
	for (const { field } of PRODUCT_CHARGES) typed[field] = again(sheet?.[field], productPer);
	for (const { field } of WASTE_AMOUNTS) typed[field] = again(sheet?.[field], wastePer);
	for (const { component, above, perPoint } of sheet?.penalties ?? []) {
		typed[`${component}Penalty`] = again(perPoint, productPer);
		typed[`${component}Free`] = printEntered(100 * above);
	}
	return { ...typed, ...typedMetal(sheet, 'copper'), ...typedMetal(sheet, 'aluminium') };
}

function chargesCurrencyOf(sheet: PriceSheet | undefined): string {
	const entered = [...PRODUCT_CHARGES, ...WASTE_AMOUNTS].map(({ field }) => sheet?.[field]?.currency);
	return [...entered, sheet?.metals.copper?.price.currency, 'USD'].find((one) => one !== undefined) ?? '';
}

function typedMetal(sheet: PriceSheet | undefined, metal: PricedMetal): Typed {
	const entry = sheet?.metals[metal];
	return {
		[`${metal}Price`]: entry === undefined ? '' : printEntered(entry.price.amount),
		[`${metal}Currency`]: entry?.price.currency ?? chargesCurrencyOf(sheet),
		[`${metal}Per`]: entry?.price.per ?? 'lb',
		[`${metal}Date`]: entry?.date ?? '',
		[`${metal}Note`]: entry?.note ?? '',
		[`${metal}Payable`]: entry === undefined ? '' : printEntered(100 * entry.payable),
		[`${metal}Deduction`]: entry === undefined ? '' : printEntered(100 * entry.deduction),
	};
}

import { z } from 'zod';
import { TrayError } from '../errors/TrayError';
import { COMPONENTS, PRODUCT_ROLES } from '../material/classes';
import { KG_PER_UNIT, MASS_UNITS } from '../quantity/units';

/** Metals that may have a price. */
export const PRICED_METALS = ['copper', 'aluminium'] as const;
export type PricedMetal = (typeof PRICED_METALS)[number];

/** Costs that go with what is fed, each per mass of dry waste. */
export const FEED_COSTS = ['water', 'power', 'labour', 'otherCosts'] as const;
export type FeedCost = (typeof FEED_COSTS)[number];

/** How far entered amounts may vary where nobody said: one part in ten (our choice; it is shown with the tornado plot). */
export const DEFAULT_MAY_VARY_BY = 0.1;

const currency = z.string().regex(/^[A-Z]{3}$/, 'Write a currency as three capital letters, for example USD.');
const mostMoney = 1e9;

/** Money per mass: an amount above zero in a currency for one unit of mass. */
const moneyPerMass = z.strictObject({
	amount: z
		.number()
		.positive({ error: 'An amount of 0 or less is no price. Leave it out where there is none.' })
		.max(mostMoney),
	currency,
	per: z.enum(MASS_UNITS),
});
export type MoneyPerMass = z.output<typeof moneyPerMass>;

const metalPriceSchema = z.strictObject({
	price: moneyPerMass,
	/** The day the price was read. */
	date: z.iso.date({ error: 'Write the date of the price as 2026-05-31.' }),
	/** Where it is from. */
	note: z.string().trim().min(1, 'Note where the price is from.').max(200),
	/** Share of the price that the buyer pays for each kilogram of metal after the deduction. */
	payable: z
		.number()
		.gt(0, 'A payable share of 0 pays nothing. Check it.')
		.max(1, 'A payable share is at most 1 (100 %).'),
	/** Taken off the grade before paying: 0.01 is one point. */
	deduction: z.number().min(0).max(0.5).default(0),
});

const penaltySchema = z.strictObject({
	component: z.enum(COMPONENTS).exclude(['copper']),
	/** Share of the sold product that is free of penalty. */
	above: z.number().min(0).max(1),
	/** Charged per mass of product for each point (0.01) above the limit. */
	perPoint: moneyPerMass,
});

/**
 * Prices and charges as a person entered them; nothing is ever fetched. Shares are fractions 0 to 1.
 *
 * Treatment and freight are per mass of product sold; water, power, labour, other costs and disposal saved are per mass of
 * dry waste fed.
 */
export const priceSheetSchema = z.strictObject({
	deckside: z.literal('prices/1', {
		error: 'The file does not say "deckside": "prices/1", so it is not a price file.',
	}),
	metals: z.strictObject({ copper: metalPriceSchema.optional(), aluminium: metalPriceSchema.optional() }).default({}),
	/** What is sold; the rest stays in stock or is dumped. */
	sold: z.array(z.enum(PRODUCT_ROLES)).min(1).default(['concentrate']),
	treatment: moneyPerMass.optional(),
	freight: moneyPerMass.optional(),
	penalties: z.array(penaltySchema).max(3).default([]),
	water: moneyPerMass.optional(),
	power: moneyPerMass.optional(),
	labour: moneyPerMass.optional(),
	otherCosts: moneyPerMass.optional(),
	disposalSaved: moneyPerMass.optional(),
	investment: z
		.strictObject({
			amount: z.number().positive().max(1e12),
			currency,
			/** Dry waste fed in a year, kilograms. */
			yearlyFeedKg: z.number().positive().max(1e12),
		})
		.optional(),
	mayVaryBy: z.number().gt(0).max(0.9).default(DEFAULT_MAY_VARY_BY),
	/** The ton that results are given for. */
	perTon: z.enum(['shortTon', 't']).default('t'),
});
export type PriceSheet = z.output<typeof priceSheetSchema>;
export type PriceSheetInput = z.input<typeof priceSheetSchema>;

/** An amount for one kilogram. */
export function perKg({ amount, per }: MoneyPerMass): number {
	return amount / KG_PER_UNIT[per];
}

/**
 * The one currency of a sheet.
 *
 * @returns undefined where no amount was entered
 * @throws TrayError `usage` when amounts are in different currencies: they are refused, never converted
 */
export function currencyOf(sheet: PriceSheet): string | undefined {
	const used = new Map<string, string>();
	const note = (what: string, money: { readonly currency: string } | undefined) => {
		if (money !== undefined && !used.has(money.currency)) used.set(money.currency, what);
	};
	for (const metal of PRICED_METALS) note(`the price of ${metal}`, sheet.metals[metal]?.price);
	note('treatment', sheet.treatment);
	note('freight', sheet.freight);
	for (const { component, perPoint } of sheet.penalties) note(`the penalty for ${component}`, perPoint);
	for (const cost of FEED_COSTS) note(cost === 'otherCosts' ? 'other costs' : cost, sheet[cost]);
	note('disposal saved', sheet.disposalSaved);
	note('the investment', sheet.investment);
	if (used.size > 1) {
		const parts = [...used].map(([name, what]) => `${what} in ${name}`).join(', ');
		throw new TrayError(
			'usage',
			`Amounts are entered in different currencies: ${parts}.`,
			'Enter all of them in one currency; currencies are not converted here.',
		);
	}
	return [...used.keys()].at(0);
}

import type { Component } from '../material/classes';
import { perName } from '../quantity/perName';
import { FEED_COSTS, type FeedCost, PRICED_METALS, type PricedMetal, type PriceSheet, perKg } from './priceSheet';

/** What is sold for each kilogram of dry waste fed, kilograms; `mass` is the whole, components are parts of it. */
export type SoldPerKg = Readonly<Record<Component | 'mass', number>>;

/** Lines of a margin, in the order they are shown. */
export const MARGIN_LINES = [
	'copper',
	'aluminium',
	'penalties',
	'treatment',
	'freight',
	...FEED_COSTS,
	'disposalSaved',
] as const;
export type MarginLine = (typeof MARGIN_LINES)[number];

/** Every amount of a sheet brought to one kilogram; 0 where there is none. */
export interface Rates {
	readonly pricePerKg: Readonly<Record<PricedMetal, number>>;
	readonly payable: Readonly<Record<PricedMetal, number>>;
	readonly deduction: Readonly<Record<PricedMetal, number>>;
	readonly treatmentPerKg: number;
	readonly freightPerKg: number;
	readonly penalties: readonly {
		readonly component: Component;
		readonly above: number;
		readonly perKgAndPoint: number;
	}[];
	readonly feedCostPerKg: Readonly<Record<FeedCost, number>>;
	readonly disposalSavedPerKg: number;
}

/** One percentage point as a share. */
const POINT = 0.01;

/** The rates of a price sheet. */
export function ratesOf(sheet: PriceSheet): Rates {
	const of = (money: Parameters<typeof perKg>[0] | undefined) => (money === undefined ? 0 : perKg(money));
	return {
		pricePerKg: perName(PRICED_METALS, (metal) => of(sheet.metals[metal]?.price)),
		payable: perName(PRICED_METALS, (metal) => sheet.metals[metal]?.payable ?? 0),
		deduction: perName(PRICED_METALS, (metal) => sheet.metals[metal]?.deduction ?? 0),
		treatmentPerKg: of(sheet.treatment),
		freightPerKg: of(sheet.freight),
		penalties: sheet.penalties.map(({ component, above, perPoint }) => ({
			component,
			above,
			perKgAndPoint: perKg(perPoint),
		})),
		feedCostPerKg: perName(FEED_COSTS, (cost) => of(sheet[cost])),
		disposalSavedPerKg: of(sheet.disposalSaved),
	};
}

/**
 * What one kilogram of dry waste brings and costs, line by line; costs are negative.
 *
 * Metal is paid for at price times payable share, after a deduction of points from its grade that cannot make it negative;
 * penalties are charged on the product's whole mass for each point above their limit.
 *
 * @source common practice, no source: price times payable share, less deduction, treatment, penalties and freight
 */
export function marginLinesOf(sold: SoldPerKg, rates: Rates): Readonly<Record<MarginLine, number>> {
	const paid = (metal: PricedMetal) =>
		Math.max(0, sold[metal] - rates.deduction[metal] * sold.mass) * rates.payable[metal] * rates.pricePerKg[metal];
	const penalty = rates.penalties.reduce((sum, { component, above, perKgAndPoint }) => {
		return sum + (Math.max(0, sold[component] - above * sold.mass) / POINT) * perKgAndPoint;
	}, 0);
	return {
		copper: paid('copper'),
		aluminium: paid('aluminium'),
		// not `-penalty`: nought has no sign here
		penalties: 0 - penalty,
		treatment: -rates.treatmentPerKg * sold.mass,
		freight: -rates.freightPerKg * sold.mass,
		water: -rates.feedCostPerKg.water,
		power: -rates.feedCostPerKg.power,
		labour: -rates.feedCostPerKg.labour,
		otherCosts: -rates.feedCostPerKg.otherCosts,
		disposalSaved: rates.disposalSavedPerKg,
	};
}

/** Net margin of one kilogram of dry waste: the sum of its lines. */
export function marginOf(sold: SoldPerKg, rates: Rates): number {
	const lines = marginLinesOf(sold, rates);
	return MARGIN_LINES.reduce((sum, line) => sum + lines[line], 0);
}

import type { Estimate } from '../quantity/quantity';
import { marginOf, type Rates, ratesOf, type SoldPerKg } from './marginModel';
import { FEED_COSTS, type MoneyPerMass, PRICED_METALS, type PriceSheet } from './priceSheet';

/** Inputs that a margin hangs on: what was measured, and what was entered. */
export type SensitiveInput =
	| 'feedGrade'
	| 'recovery'
	| 'soldGrade'
	| `${(typeof PRICED_METALS)[number]}${'Price' | 'Payable' | 'Deduction'}`
	| 'penalties'
	| 'treatment'
	| 'freight'
	| 'disposalSaved'
	| (typeof FEED_COSTS)[number];

/** What one input does to the margin when it goes from the low to the high end of its range, all others at their best. */
export interface Sensitivity {
	readonly input: SensitiveInput;
	readonly low: number;
	readonly high: number;
	/** `fraction` for shares; `perKg` for money per kilogram; `factor` where several amounts are changed together. */
	readonly unit: 'fraction' | 'perKg' | 'factor';
	/** Measured ranges are 95 % intervals; entered ones are what the sheet lets them vary by. */
	readonly origin: 'measured' | 'entered';
	/** Margin per kilogram of waste at the low and at the high end. */
	readonly marginAtLow: number;
	readonly marginAtHigh: number;
}

/** The measured inputs; what is missing is left out of the plot. */
export interface MeasuredInputs {
	readonly feedGrade?: Estimate | undefined;
	readonly recovery?: Estimate | undefined;
	readonly soldGrade?: Estimate | undefined;
}

/**
 * Sensitivity of the margin to each input, largest swing first (a tornado plot's rows).
 *
 * More copper in the waste, or a higher recovery, means more of the same product; a higher grade of what is sold means
 * the same copper in less of it.
 *
 * @source one-at-a-time variation, common practice; its limit: inputs that move together are not seen
 */
export function sensitivitiesOf(sold: SoldPerKg, sheet: PriceSheet, measured: MeasuredInputs): readonly Sensitivity[] {
	const rates = ratesOf(sheet);
	const rows = [...measuredRows(sold, rates, measured), ...enteredRows(sold, sheet, rates)];
	const swing = ({ marginAtLow, marginAtHigh }: Sensitivity) => Math.abs(marginAtHigh - marginAtLow);
	// what is a millionth of the largest swing is rounding
	const least = 1e-6 * Math.max(0, ...rows.map(swing));
	return rows.filter((row) => swing(row) > least).sort((a, b) => swing(b) - swing(a));
}

function measuredRows(sold: SoldPerKg, rates: Rates, measured: MeasuredInputs): Sensitivity[] {
	const row = (input: 'feedGrade' | 'recovery' | 'soldGrade', change: (factor: number) => SoldPerKg): Sensitivity[] => {
		const range = measured[input];
		if (range === undefined || !(range.value > 0)) return [];
		const at = (end: number) => marginOf(change(end / range.value), rates);
		const { low, high } = range;
		return [{ input, low, high, unit: 'fraction', origin: 'measured', marginAtLow: at(low), marginAtHigh: at(high) }];
	};
	const more = (factor: number): SoldPerKg => ({
		mass: sold.mass * factor,
		copper: sold.copper * factor,
		aluminium: sold.aluminium * factor,
		insulation: sold.insulation * factor,
		other: sold.other * factor,
	});
	return [...row('feedGrade', more), ...row('recovery', more), ...row('soldGrade', (factor) => purer(sold, factor))];
}

/** The same copper in a product of another grade: the rest shrinks or grows with it, in proportion, to no more than all that was fed. */
function purer(sold: SoldPerKg, factor: number): SoldPerKg {
	const mass = Math.min(1, sold.mass / factor);
	const rest = sold.mass - sold.copper;
	const change = rest > 0 ? Math.max(0, mass - sold.copper) / rest : 1;
	return {
		mass,
		copper: sold.copper,
		aluminium: sold.aluminium * change,
		insulation: sold.insulation * change,
		other: sold.other * change,
	};
}

function enteredRows(sold: SoldPerKg, sheet: PriceSheet, rates: Rates): Sensitivity[] {
	const [down, up] = [1 - sheet.mayVaryBy, 1 + sheet.mayVaryBy];
	const vary = (
		input: SensitiveInput,
		unit: Sensitivity['unit'],
		value: number,
		changed: (value: number) => Rates,
		most = Number.POSITIVE_INFINITY,
	): Sensitivity[] => {
		if (!(value > 0)) return [];
		const [low, high] = [value * down, Math.min(most, value * up)];
		const at = (end: number) => marginOf(sold, changed(end));
		return [{ input, low, high, unit, origin: 'entered', marginAtLow: at(low), marginAtHigh: at(high) }];
	};
	const money = (
		input: SensitiveInput,
		entered: MoneyPerMass | undefined,
		value: number,
		changed: (v: number) => Rates,
	) => (entered === undefined ? [] : vary(input, 'perKg', value, changed));
	return [
		...PRICED_METALS.flatMap((metal) => {
			const set =
				(key: 'pricePerKg' | 'payable' | 'deduction') =>
				(value: number): Rates => ({
					...rates,
					[key]: { ...rates[key], [metal]: value },
				});
			return [
				...vary(`${metal}Price`, 'perKg', rates.pricePerKg[metal], set('pricePerKg')),
				...vary(`${metal}Payable`, 'fraction', rates.payable[metal], set('payable'), 1),
				...vary(`${metal}Deduction`, 'fraction', rates.deduction[metal], set('deduction')),
			];
		}),
		...(rates.penalties.length === 0
			? []
			: vary('penalties', 'factor', 1, (factor) => ({
					...rates,
					penalties: rates.penalties.map((one) => ({ ...one, perKgAndPoint: one.perKgAndPoint * factor })),
				}))),
		...money('treatment', sheet.treatment, rates.treatmentPerKg, (v) => ({ ...rates, treatmentPerKg: v })),
		...money('freight', sheet.freight, rates.freightPerKg, (v) => ({ ...rates, freightPerKg: v })),
		...FEED_COSTS.flatMap((cost) =>
			money(cost, sheet[cost], rates.feedCostPerKg[cost], (v) => ({
				...rates,
				feedCostPerKg: { ...rates.feedCostPerKg, [cost]: v },
			})),
		),
		...money('disposalSaved', sheet.disposalSaved, rates.disposalSavedPerKg, (v) => ({
			...rates,
			disposalSavedPerKg: v,
		})),
	];
}

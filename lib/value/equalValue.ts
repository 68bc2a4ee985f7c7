import type { Rates } from './marginModel';

/**
 * Copper recovery that brings the same money at another grade, along a line of equal value.
 *
 * For each kilogram of copper fed, recovery R at grade g brings R (p (1 - d / g) - c / g): p is the payable price, d the
 * deduction, c treatment and freight per kilogram of product. Penalties are left out, so lines bend less than they may.
 *
 * @param worthPerKgFed - money for each kilogram of copper fed along the line
 * @param grade - copper grade of what is sold, above 0 to 1
 * @returns NaN where the product brings nothing at that grade
 */
export function equalValueRecoveryOf(worthPerKgFed: number, grade: number, rates: Rates): number {
	const perKgCopper = worthPerKgCopperOf(grade, rates);
	return perKgCopper > 0 ? worthPerKgFed / perKgCopper : Number.NaN;
}

/** What one kilogram of copper brings inside a product of that grade. */
export function worthPerKgCopperOf(grade: number, rates: Rates): number {
	const price = rates.payable.copper * rates.pricePerKg.copper;
	return price * Math.max(0, 1 - rates.deduction.copper / grade) - (rates.treatmentPerKg + rates.freightPerKg) / grade;
}

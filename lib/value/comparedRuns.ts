import { type ComparableRun, compareRuns, type RunComparison } from '../balance/compareRuns';
import type { PriceSheet } from './priceSheet';
import { type WorthDifference, worthDifferenceOf } from './worthDifference';

/** One run against the first one, with what it brings more. */
export interface ComparedRun {
	readonly comparison: RunComparison;
	/** Per kilogram of dry waste, where prices were given. */
	readonly worth?: WorthDifference;
}

/**
 * Every run set against the first one, in figures.
 *
 * @param sheet - prices, where some are entered
 * @throws RangeError as `compareRuns`; TrayError `usage` when the sheet mixes currencies
 */
export function comparedRunsOf(runs: readonly ComparableRun[], sheet: PriceSheet | undefined): readonly ComparedRun[] {
	return compareRuns(runs).map((comparison, k) => {
		const isClosed = comparison.unclosed.length === 0;
		const worth = sheet && isClosed ? worthDifferenceOf(runs[0]!, runs[k + 1]!, sheet) : undefined;
		return { comparison, ...(worth === undefined ? {} : { worth }) };
	});
}

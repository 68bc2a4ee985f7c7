import type { ComparableRun, RunComparison } from '../balance/compareRuns';
import { type ComparedRun, comparedRunsOf } from '../value/comparedRuns';
import { currencyOf, PRICED_METALS, type PriceSheet } from '../value/priceSheet';
import type { WorthDifference } from '../value/worthDifference';
import { comparisonSentences, notComparedSentence } from './compareSentences';
import { worthDifferenceSentence } from './moneySentences';

/** A comparison with its words, the same on screen, command line and in files. */
export interface ToldComparison extends RunComparison {
	/** What can be claimed. */
	readonly sentences: readonly string[];
	/** Figures, and money, that can't be compared, and why. */
	readonly cannot: readonly string[];
	/** What the other run brings more per kilogram of dry waste, where prices were given. */
	readonly worth?: WorthDifference;
}

/**
 * Every run set against the first one, in words.
 *
 * @param sheet - prices, where some are entered
 * @throws RangeError as `compareRuns`; TrayError `usage` when the sheet mixes currencies
 */
export function toldComparisons(
	runs: readonly ComparableRun[],
	sheet: PriceSheet | undefined,
): readonly ToldComparison[] {
	return tellCompared(comparedRunsOf(runs, sheet), sheet);
}

/** Words for runs that were compared. @param sheet - the prices that they were compared at */
export function tellCompared(
	compared: readonly ComparedRun[],
	sheet: PriceSheet | undefined,
): readonly ToldComparison[] {
	return compared.map(({ comparison, worth }) => {
		const money = worth && sheet && worthDifferenceSentence(worth, comparison, sheet, currencyOf(sheet) ?? '');
		const told = [
			notComparedSentence(comparison),
			sheet && worth === undefined ? worthUnknown(sheet, comparison) : undefined,
		];
		return {
			...comparison,
			sentences: [...comparisonSentences(comparison), ...(money === undefined ? [] : [money])],
			cannot: told.filter((sentence) => sentence !== undefined),
			...(worth === undefined ? {} : { worth }),
		};
	});
}

/** Why the runs' worth is not set against each other. */
function worthUnknown({ metals }: PriceSheet, { unclosed }: RunComparison): string {
	if (unclosed.length > 0) return 'Which run brings more is not said either, until the balance closes.';
	return PRICED_METALS.every((metal) => metals[metal] === undefined)
		? 'No metal price is entered, so which run brings more is not said. Shares and grades need no price.'
		: "The margin of one of the runs can't be worked out, so which brings more is not said; its money page says what is missing.";
}

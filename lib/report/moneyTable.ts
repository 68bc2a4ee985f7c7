import type { BalanceWarning } from '../balance/balanceWarning';
import type { Estimate } from '../quantity/quantity';
import { KG_PER_UNIT } from '../quantity/units';
import type { PriceSheet } from '../value/priceSheet';
import type { RunValue } from '../value/runValue';
import { type CsvCell, csvOf, rangeCells } from './exportCsv';
import { limitWords } from './format';
import { INPUT_NAMES, LINE_NAMES, TON_NAMES } from './moneySentences';

/**
 * What a run is worth as a table: one line a figure, its unit beside it, best value and the ends of its 95 % range, then what can't be worked out and what the
 * run's figures suffer from.
 */
export function moneyCsv(value: RunValue, sheet: PriceSheet, warnings: readonly BalanceWarning[] = []): string {
	const { currency = '' } = value;
	const perTon = `${currency} per ${TON_NAMES[sheet.perTon]} of dry waste`;
	const kg = KG_PER_UNIT[sheet.perTon];
	const line = (
		name: string,
		unit: string,
		estimate: Estimate | undefined,
		factor = 1,
		words = 'below detection',
	): CsvCell[][] =>
		estimate === undefined
			? []
			: [[name, unit, ...rangeCells(estimate, factor), estimate.belowDetectionLimit ? words : undefined]];
	const share = (name: string, unit: string, estimate: Estimate | undefined, factor = 1) =>
		line(name, unit, estimate, factor, estimate && limitWords(estimate));
	return csvOf(
		['figure', 'unit', 'value', 'low', 'high', 'note'],
		[
			...share('Copper in the waste', 'fraction', value.copperInWaste),
			...share('Copper in the waste', 'lb per short ton', value.copperInWaste, KG_PER_UNIT.shortTon / KG_PER_UNIT.lb),
			...share('Copper in the waste', 'kg per tonne', value.copperInWaste, 1000),
			...line('Worth of the copper in the waste', perTon, value.worthInWaste, kg),
			...share('Copper left in the tailings', 'fraction of the waste', value.copperInTailings),
			...line('Worth of the copper left in the tailings', perTon, value.worthInTailings, kg),
			...(value.lines ?? []).flatMap((one) => line(LINE_NAMES[one.line], perTon, one.perKg, kg)),
			...line('Net margin', perTon, value.marginPerKg, kg),
			...line('Net margin of the run', currency, value.marginPerRun),
			...line('Break-even copper price', `${currency} per kg`, value.breakEvenPricePerKg),
			...line('Break-even copper in the waste', 'fraction', value.breakEvenFeedGrade),
			...line('Payback', 'years', value.paybackYears),
			...value.sensitivities.map((row): CsvCell[] => [
				`Margin as ${INPUT_NAMES[row.input]} goes from its low to its high end`,
				perTon,
				undefined,
				row.marginAtLow * kg,
				row.marginAtHigh * kg,
				undefined,
			]),
			...value.cannot.map((note): CsvCell[] => ["Can't be worked out", 'words', undefined, undefined, undefined, note]),
			...warnings.map(({ message }): CsvCell[] => ['Warning', 'words', undefined, undefined, undefined, message]),
		],
	);
}

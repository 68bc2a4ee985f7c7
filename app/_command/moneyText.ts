import { KG_PER_UNIT } from '@/lib/quantity/units';
import {
	breakEvenGradeText,
	breakEvenPriceText,
	INPUT_NAMES,
	inputRangeText,
	LINE_NAMES,
	MONEY_SENTENCE,
	marginMoveText,
	marginSentence,
	metalSentence,
	paybackText,
	printMoney,
	TON_NAMES,
	tailingsText,
} from '@/lib/report/moneySentences';
import type { PriceSheet } from '@/lib/value/priceSheet';
import type { RunValue } from '@/lib/value/runValue';

/** What the command prints of a run's money when no JSON is asked for. */
export function moneyText(value: RunValue, sheet: PriceSheet): string {
	const { perTon } = sheet;
	const kg = KG_PER_UNIT[perTon];
	const currency = value.currency ?? '';
	const breakEven = breakEvenPriceText(value, sheet);
	const breakEvenGrade = breakEvenGradeText(value);
	const payback = paybackText(value);
	const inTailings = tailingsText(value, perTon);
	const line = (name: string, text: string) => `  ${name.padEnd(34)}${text}`;
	return [
		`Money, per ${TON_NAMES[perTon]} of dry waste`,
		`  ${metalSentence(value, perTon)}`,
		`  ${marginSentence(value, perTon)}`,
		...(value.lines ?? []).map((one) => line(LINE_NAMES[one.line], printMoney(one.perKg, currency, kg))),
		...(value.marginPerRun === undefined
			? []
			: [line('Net margin of the run', printMoney(value.marginPerRun, currency))]),
		...(breakEven === undefined ? [] : [line('Break-even copper price', breakEven)]),
		...(breakEvenGrade === undefined ? [] : [line('Break-even copper in the waste', breakEvenGrade)]),
		...(payback === undefined ? [] : [line('Payback', payback)]),
		...(inTailings === undefined ? [] : [line('Copper left in the tailings', inTailings)]),
		...(value.sensitivities.length === 0 ? [] : ['  What moves the margin most']),
		...value.sensitivities.map((row) => {
			const moves = value.marginPerKg === undefined ? '' : `: ${marginMoveText(row, value.marginPerKg, perTon)}`;
			return line(`  ${INPUT_NAMES[row.input]}`, `${inputRangeText(row, sheet, currency)}${moves}`);
		}),
		...value.cannot.map((sentence) => `  ! ${sentence}`),
		`  ${MONEY_SENTENCE}`,
	].join('\n');
}

import { expect, test } from 'vitest';
import {
	breakEvenGradeText,
	inputRangeText,
	marginMoveText,
	paybackText,
	printPrice,
} from '@/lib/report/moneySentences';
import { moneyCsv } from '@/lib/report/moneyTable';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';
import { exactRun } from '../value/exactRun';

test('the money table has a unit on every line, 80 lb in a short ton of 4 % waste among them', () => {
	const sheet = priceSheetSchema.parse({
		deckside: 'prices/1',
		metals: {
			copper: { price: { amount: 4, currency: 'USD', per: 'lb' }, date: '2026-05-12', note: 'invented', payable: 0.8 },
		},
		otherCosts: { amount: 60, currency: 'USD', per: 'shortTon' },
		perTon: 'shortTon',
	});
	const lines = moneyCsv(valueOfRun(exactRun(), sheet), sheet)
		.trimEnd()
		.split('\r\n')
		.map((line) => line.split(','));
	const find = (figure: string, unit: string) => lines.find(([name, of]) => name === figure && of === unit);
	expect(Number(find('Copper in the waste', 'lb per short ton')![2])).toBeCloseTo(80, 9);
	expect(Number(find('Net margin', 'USD per short ton of dry waste')![2])).toBeCloseTo(157.6, 9);
	for (const line of lines) expect(line).toHaveLength(6);
	for (const [, unit] of lines) expect(unit).not.toBe('');
});

test('a break-even grade that may lie above pure copper says that there may be none', () => {
	const grade = (value: number) =>
		breakEvenGradeText({
			breakEvenFeedGrade: { value, low: 0.95 * value, high: Math.min(1, 1.05 * value) },
			sensitivities: [],
			cannot: [],
		});
	expect(grade(0.97)).toMatch(/^97.% \(92 to 100\), perhaps none at these prices, recovery/);
	expect(grade(0.04)).toMatch(/^4\.0.% \(3\.8 to 4\.2\), recovery/);
});

test('a price is shown as it was entered, to cents at least', () => {
	const shown = [4, 4.1255, 0.000001, 9876.5, 9876].map((amount) => printPrice(amount, 'USD').replace(/\s/g, ' '));
	expect(shown).toEqual(['USD 4.00', 'USD 4.1255', 'USD 0.000001', 'USD 9 876.5', 'USD 9 876']);
});

test('what an input does is told as a move of the margin, and a payback of weeks in months', () => {
	const text = (words: string | undefined) => words?.replaceAll('\u00a0', ' ');
	const row = { input: 'copperPayable', low: 0.72, high: 0.88, unit: 'fraction', origin: 'entered' } as const;
	const sheet = priceSheetSchema.parse({ deckside: 'prices/1' });
	const moved = { ...row, marginAtLow: 2.7956, marginAtHigh: 3.4616 };
	expect(text(marginMoveText(moved, { value: 3.1286, low: 3.04, high: 3.2 }, 't'))).toBe('\u2212330 to +330');
	expect(text(inputRangeText(moved, sheet, 'USD'))).toBe('72 % to 88 %');
	const measured = { ...moved, origin: 'measured', low: 0.4951, high: 0.5612 } as const;
	expect(text(inputRangeText(measured, sheet, 'USD'))).toBe('50 % to 56 %');
	// a cent a kilogram, a tenth more or less
	const cheap = { ...sheet, labour: { amount: 0.012, currency: 'USD', per: 'kg' as const } };
	const labour = { ...moved, input: 'labour' as const, low: 0.0108, high: 0.0132, unit: 'perKg' as const };
	expect(text(inputRangeText(labour, cheap, 'USD'))).toBe('USD 0.0108 to 0.0132 per kg');
	const value = { sensitivities: [], cannot: [] };
	expect(text(paybackText({ ...value, paybackYears: { value: 0.104, low: 0.102, high: 0.107 } }))).toBe(
		'1.2 months (1.2 to 1.3)',
	);
	expect(text(paybackText({ ...value, paybackYears: { value: 3.1, low: 2.4, high: 4.2 } }))).toBe(
		'3.1 years (2.4 to 4.2)',
	);
	expect(text(paybackText({ ...value, paybackYears: { value: 1e-4, low: 1e-4, high: 2e-4 } }))).toBe('under a month');
	const never = { value: 3.1, low: 2.4, high: Number.POSITIVE_INFINITY };
	expect(text(paybackText({ ...value, paybackYears: never }))).toBe('3 years (2 to never)');
	expect(text(paybackText({ ...value, paybackYears: { ...never, low: 0.02 } }))).toBe('3 years (under 0.1 to never)');
	const soon = { value: 0.02, low: 0.01, high: Number.POSITIVE_INFINITY };
	expect(text(paybackText({ ...value, paybackYears: soon }))).toBe('under a month, perhaps never');
});

test("the money table carries what the run's figures suffer from", () => {
	const sheet = priceSheetSchema.parse({ deckside: 'prices/1' });
	const warnings = [{ code: 'balance-does-not-close', message: 'Half a kilogram is missing.' }];
	const lines = moneyCsv(valueOfRun(exactRun(), sheet), sheet, warnings).trimEnd().split('\r\n');
	expect(lines.at(-1)).toBe('Warning,words,,,,Half a kilogram is missing.');
});

import { describe, expect, test } from 'vitest';
import { settingRowsOf } from '@/app/_forms/settingRows';
import { accountRun } from '@/lib/balance/account';
import type { ComparableRun } from '@/lib/balance/compareRuns';
import { metalSentence, tailingsText } from '@/lib/report/moneySentences';
import { moneyCsv } from '@/lib/report/moneyTable';
import { rerunCannotSentence } from '@/lib/report/rerunSentences';
import { accountCsv, comparisonCsv } from '@/lib/report/runTables';
import { toldComparisons } from '@/lib/report/toldComparison';
import { type PriceSheetInput, priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';

/** A run assayed for copper alone. */
function assayed(name: string, { tailingsKg, isFeedPoor = false }: { tailingsKg?: number; isFeedPoor?: boolean } = {}) {
	const bin = (id: 'concentrate' | 'middlings' | 'tailings', kg: number | undefined, copper: number) => ({
		id,
		name: id,
		role: id,
		...(kg === undefined ? {} : { dryMassKg: { value: kg, u: 0.01 } }),
		grade: { copper: { value: copper, u: 0.002 } },
	});
	const products = [bin('concentrate', 2, 0.92), bin('middlings', 1, 0.2), bin('tailings', tailingsKg, 0.006)];
	const feed = { dryMassKg: { value: 33, u: 0.05 }, grade: { copper: { value: 0.05, u: 0.0005 } } };
	const drawn = accountRun({ runId: name, seed: 20, drawCount: 400, products, ...(isFeedPoor ? { feed } : {}) });
	return { name, ...drawn } satisfies ComparableRun;
}

const price = { amount: 4, currency: 'USD', per: 'lb' };
const sheet = (more: Partial<PriceSheetInput> = {}) =>
	priceSheetSchema.parse({
		deckside: 'prices/1',
		metals: { copper: { price, date: '2026-05-12', note: 'invented', payable: 0.8 } },
		...more,
	});

describe('a run with no tailings weight', () => {
	const runs = [assayed('run 1', { tailingsKg: 30 }), assayed('run 2')];

	test('is compared by every grade, tailings among them, and says what is missing', () => {
		const [told] = toldComparisons(runs, sheet());
		const grades = told!.differences.filter(({ figure }) => figure === 'grade').map(({ stream }) => stream);
		expect(grades).toEqual(['concentrate', 'middlings', 'tailings']);
		expect(told!.sentences.join(' ')).toContain("can't be told apart by the tailings' copper grade");
		expect(told!.warnings).toEqual([
			"run 2 has no weight of tailings and none of the feed: its yields and recoveries can't be compared; grades still can.",
		]);
		expect(told!.cannot[0]).toContain('Concentrates: copper recovery');
		expect(told!.cannot[1]).toContain("The margin of one of the runs can't be worked out");
	});

	test('says so in the tables too', () => {
		const told = toldComparisons(runs, undefined);
		const comparison = comparisonCsv(told).trimEnd().split('\r\n');
		expect(comparison.at(-2)).toContain('has no weight of tailings');
		expect(comparison.at(-1)).toContain('Not compared');
		const account = accountCsv(runs[1]!.account).trimEnd().split('\r\n');
		expect(account.at(-1)).toMatch(/^Run,.*tailings has no weight/);
		const columns = account[0]!.split(',').length;
		for (const line of account.slice(0, 5)) expect(line.split(',')).toHaveLength(columns);
	});

	test('has no rerun, and the sentence names the weight', () => {
		const { account } = runs[1]!;
		expect(rerunCannotSentence(account, false)).toContain('there is no weight of tailings and none of the feed');
		expect(rerunCannotSentence(account, false)).toContain("The bins' own weights and grades stand.");
	});
});

describe('a run of which only copper is known', () => {
	const run = assayed('run 1', { tailingsKg: 30 });

	test('has a margin where no price or penalty rests on what is not known', () => {
		const { marginPerRun, cannot } = valueOfRun(run, sheet());
		// 2 kg of 92 % copper at 80 % of 4.00 per lb
		expect(marginPerRun!.value).toBeCloseTo((2 * 0.92 * 0.8 * 4) / 0.45359237, 6);
		expect(cannot).toEqual([]);
	});

	test('has none where a penalty does, and the sentence names it', () => {
		const perPoint = { amount: 20, currency: 'USD', per: 't' } as const;
		const { marginPerKg, cannot } = valueOfRun(
			run,
			sheet({ penalties: [{ component: 'insulation', above: 0.01, perPoint }] }),
		);
		expect(marginPerKg).toBeUndefined();
		expect(cannot.join(' ')).toContain('What is sold has no grade of insulation');
	});
});

test('prices without a metal price leave shares compared and say that money is not', () => {
	const runs = [assayed('run 1', { tailingsKg: 30 }), assayed('run 2', { tailingsKg: 30 })];
	const [told] = toldComparisons(runs, sheet({ metals: {} }));
	expect(told!.cannot).toEqual([
		'No metal price is entered, so which run brings more is not said. Shares and grades need no price.',
	]);
	expect(toldComparisons(runs, undefined)[0]!.cannot).toEqual([]);
});

test('products that hold more copper than the feed are told as that, and not as weights that disagree', () => {
	const { account } = assayed('run 1', { tailingsKg: 30, isFeedPoor: true });
	const [first, second] = account.warnings;
	expect(first!.message).toMatch(/^Weights agree, but products hold 13\d % of the feed's copper; /);
	expect(first!.message).toContain('a feed sample that does not stand for the feed');
	expect(second!.message).toMatch(/^Before reconciling, the products hold 13\d % of the feed's copper/);
	for (const { recovery } of account.products) expect(recovery.copper!.high).toBeLessThanOrEqual(1);
});

test('copper left in the tailings comes with its range, and as a limit where it is below detection', () => {
	const run = assayed('run 1', { tailingsKg: 30 });
	// 0.6 % of 30 kg, of 33 kg of waste: 5.5 kg per tonne, 10.9 lb per short ton, known to a third
	expect(tailingsText(valueOfRun(run, sheet()), 't')).toMatch(/^5\u00a0kg per tonne of waste \(2 to \d+\), at/);
	expect(tailingsText(valueOfRun(run, sheet()), 'shortTon')).toMatch(/^1\d\u00a0lb per short ton of waste \(/);
	const copper = { ...run.account.together.tailings!.massFraction.copper!, belowDetectionLimit: true };
	const tailings = { ...run.account.together.tailings!, massFraction: { copper } };
	const account = { ...run.account, together: { ...run.account.together, tailings } };
	const told = tailingsText(valueOfRun({ ...run, account }, sheet()), 't');
	expect(told).toMatch(
		/^below detection, under \d+\.?\d*\u00a0kg per tonne of waste, at the entered price under USD\u00a0\d+/,
	);
});

test('copper that the photos can’t tell is not put into pounds and money', () => {
	const value = valueOfRun(assayed('run 1', { tailingsKg: 30 }), sheet());
	const untold = { value: 0.4, low: 0, high: 0.999, belowDetectionLimit: true };
	expect(metalSentence({ ...value, copperInWaste: untold }, 't')).toBe(
		'The copper in the dry waste can’t be told (0 to 100\u00a0%). More spreads, or a check by hand or laboratory, tell more.',
	);
	expect(tailingsText({ ...value, copperInTailings: untold }, 't')).toBe('can’t be told');
	const table = moneyCsv({ ...value, copperInWaste: untold }, sheet()).split('\r\n');
	expect(table[1]).toBe('Copper in the waste,fraction,,0,0.999,can’t be told');
});

test('a setting that one run did not note is not called changed', () => {
	const [slope, water] = settingRowsOf([{ deckSlopeCrossDeg: 4, washWaterLPerMin: 9 }, { deckSlopeCrossDeg: 5 }]);
	expect(slope).toMatchObject({ label: 'Deck slope, across', differs: true, isNotedByAll: true });
	expect(water).toMatchObject({ label: 'Wash water', differs: false, isNotedByAll: false });
});

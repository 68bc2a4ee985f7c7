import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import { gradeRecoveryPlotOf } from '@/lib/report/gradeRecoveryPlot';
import { madeUpRun } from '../balance/madeUpRun';

/** The made-up run with copper of one product below detection, up to a limit that its draws don't reach. */
function plotted(below?: string, limit = 0.03) {
	const run = madeUpRun(1000);
	const copper = { value: 0.004, low: 0, high: limit, belowDetectionLimit: true };
	const products = run.products.map((one) => (one.id === below ? { ...one, massFraction: { copper } } : one));
	const worked = accountRun({ ...run, products });
	const plot = gradeRecoveryPlotOf([{ name: 'run', ...worked }], ({ recovery }) => recovery);
	return { account: worked.account, plot, run: plot.runs[0]! };
}

const least = (points: readonly { readonly recovery: number }[]) => Math.min(...points.map(({ recovery }) => recovery));

test('the outline reaches as far as a bin below detection leaves open, and its dot is told from the others', () => {
	const [known, below] = [plotted(), plotted('tailings')];
	expect(known.run.together.map(({ isBelow }) => isBelow)).toEqual([false, false, false]);
	expect(below.run.together.map(({ isBelow }) => isBelow)).toEqual([false, false, true]);
	expect(below.run.isLimit).toBe(false);
	const told = below.account.together.concentrate!.recovery.copper!;
	expect(below.run.recovery).toEqual(told);
	expect(told.low).toBeLessThan(known.run.recovery.low - 0.05);
	expect(least(below.run.region)).toBeLessThan(told.low);
	expect(below.plot.recoveryRange[0]).toBeLessThanOrEqual(least(below.run.region));
	const [before, after] = [known, below].map(({ run }) => Math.max(...run.region.map(({ recovery }) => recovery)));
	expect(after).toBeGreaterThan(told.high);
	expect(after).toBeLessThan(1.1 * before!);
});

test('concentrates below detection have a region from nothing on and neither a point nor a line of equal value', () => {
	const { run, plot } = plotted('concentrate', 0.99);
	expect(run).toMatchObject({
		isLimit: true,
		grade: { belowDetectionLimit: true },
		recovery: { belowDetectionLimit: true },
	});
	expect(least(run.region)).toBe(0);
	expect(plot.equalValue).toEqual([]);
	expect(plotted().plot.equalValue).toHaveLength(1);
});

import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import type { AccountInput } from '@/lib/balance/accountInput';
import { misfitRatioOf } from '@/lib/balance/widenMisfit';
import type { Estimate } from '@/lib/quantity/quantity';

const widthOf = ({ low, high }: Estimate) => high - low;

/** 10 kg fed; two bins known to 0.05 kg each, the second as heavy as told. */
function runOf(tailingsKg: number): AccountInput {
	const graded = (copper: number) => ({ copper: { value: copper, u: 0.01 } });
	return {
		runId: 'run',
		seed: 3,
		drawCount: 4000,
		feed: { dryMassKg: { value: 10, u: 0.05 } },
		products: [
			{ id: 'c', name: 'c', role: 'concentrate', dryMassKg: { value: 4, u: 0.05 }, grade: graded(0.9) },
			{ id: 't', name: 't', role: 'tailings', dryMassKg: { value: tailingsKg, u: 0.05 }, grade: graded(0.05) },
		],
	};
}

test('five measurements of one thing with chi-square 16 for 4 degrees of freedom count twice as uncertain', () => {
	// Birge ratio: root of chi-square over degrees of freedom
	expect(misfitRatioOf({ chiSquare: 16, degreesOfFreedom: 4, probability: 0.003 })).toBe(2);
	expect(misfitRatioOf({ chiSquare: 5, degreesOfFreedom: 4, probability: 0.29 })).toBe(1);
	expect(misfitRatioOf({ chiSquare: 0, degreesOfFreedom: 0, probability: undefined })).toBe(1);
});

test('a balance that does not close widens its masses by the misfit, and leaves grades that were not tested alone', () => {
	const [closed, open] = [runOf(6), runOf(6.5)].map((input) => accountRun(input).account);
	expect(closed!.misfitRatio).toBeUndefined();
	// 0.5 kg over root of three times 0.05 kg squared
	const ratio = 0.5 / Math.sqrt(3 * 0.05 ** 2);
	expect(open!.misfitRatio).toBeCloseTo(ratio, 6);
	const [before, after] = [closed!, open!].map(({ products }) => products[1]!);
	const factor = widthOf(after!.dryMassKg.reconciled!) / widthOf(before!.dryMassKg.reconciled!);
	expect(factor).toBeGreaterThan(0.93 * ratio);
	expect(factor).toBeLessThan(1.07 * ratio);
	const grade = widthOf(after!.massFraction.measured.copper!) / widthOf(before!.massFraction.measured.copper!);
	expect(grade).toBeCloseTo(1, 6);
	expect(open!.warnings[0]!.message).toContain(`counts ${ratio.toFixed(1)} times as stated`);
});

test('the value stays where the stated uncertainties put it', () => {
	const { products, feed } = accountRun(runOf(6.5)).account;
	// a third of the 0.5 kg comes off each bin and goes onto the feed
	expect(products[1]!.dryMassKg.reconciled!.value).toBeCloseTo(6.5 - 0.5 / 3, 6);
	expect(feed.dryMassKg.reconciled!.value).toBeCloseTo(10 + 0.5 / 3, 6);
});

import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import type { StreamInput } from '@/lib/balance/accountInput';
import type { Estimate } from '@/lib/quantity/quantity';
import { type Random, seededRandom } from '@/lib/quantity/seededRandom';
import { scatter, shareDraws, TRUE_PRODUCTS } from './madeUpRun';

const RUNS = 450;
const DRAWS = 500;
/** Relative standard deviation of each component's own error, and of the copper error that all photos share. */
const OWN = 0.2;
const SHARED = 0.1;
const FEED_KG = TRUE_PRODUCTS.reduce((sum, { massKg }) => sum + massKg, 0);
const COPPER_KG = TRUE_PRODUCTS.reduce((sum, { massKg, shares }) => sum + massKg * shares[0], 0);

/** The made-up run measured once more, with fresh errors; and whether each interval held the truth. */
function measureAgain(run: number, feedGradeU: number | undefined) {
	const random = seededRandom(run, 'made-up world');
	const sharedError = SHARED * random.normal();
	const sharedDraws = Float64Array.from({ length: DRAWS }, () => SHARED * random.normal());
	const products = TRUE_PRODUCTS.map(({ id, massKg, shares }) => ({
		id,
		name: id,
		role: 'middlings' as const,
		dryMassKg: { value: massKg * (1 + 0.01 * random.normal()), u: 0.01 * massKg },
		gradeDraws: shareDraws(scatter(shares, OWN, sharedError, random), OWN, sharedDraws, DRAWS, random),
	}));
	const feed = { dryMassKg: { value: FEED_KG + 0.25 * random.normal(), u: 0.25 }, ...feedGrade(feedGradeU, random) };
	const { account } = accountRun({ runId: `run ${run}`, seed: run, drawCount: DRAWS, feed, products });
	const holds = (estimate: Estimate | undefined, truth: number) =>
		estimate !== undefined && estimate.low <= truth && truth <= estimate.high;
	const held = TRUE_PRODUCTS.flatMap(({ id, massKg, shares }, p): [string, boolean][] => {
		const { yieldFraction, massFraction, recovery } = account.products[p]!;
		return [
			[`yield of ${id}`, holds(yieldFraction, massKg / FEED_KG)],
			[`copper grade of ${id}`, holds(massFraction.reconciled.copper, shares[0])],
			[`copper recovery of ${id}`, holds(recovery.copper, (massKg * shares[0]) / COPPER_KG)],
		];
	});
	held.push(['copper grade of the feed', holds(account.feed.massFraction.reconciled.copper, COPPER_KG / FEED_KG)]);
	return { held, probability: account.probability! };
}

function feedGrade(u: number | undefined, random: Random): StreamInput {
	return u === undefined ? {} : { grade: { copper: { value: COPPER_KG / FEED_KG + u * random.normal(), u } } };
}

test.each([
	['without a feed grade', undefined],
	['with a laboratory feed grade', 0.004],
])('95 %% intervals hold the truth in 93 to 97 of 100 made-up runs %s', (_, feedGradeU) => {
	const hits = new Map<string, number>();
	let failedTests = 0;
	for (let run = 0; run < RUNS; run++) {
		const { held, probability } = measureAgain(run, feedGradeU);
		for (const [name, isHeld] of held) hits.set(name, (hits.get(name) ?? 0) + Number(isHeld));
		failedTests += Number(probability < 0.05);
	}
	const shares = [...hits.values()].map((count) => count / RUNS);
	const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
	expect(mean).toBeGreaterThanOrEqual(0.94);
	expect(mean).toBeLessThanOrEqual(0.96);
	// one figure's count scatters by 1.0 point: 93 to 97 and one and a half standard deviations
	expect(Math.min(...shares)).toBeGreaterThanOrEqual(0.93);
	expect(Math.max(...shares)).toBeLessThanOrEqual(0.97);
	// a true balance fails its 5 % test in 5 of 100 runs; two standard deviations of that count are 2 of 100
	expect(failedTests / RUNS).toBeGreaterThan(0.03);
	expect(failedTests / RUNS).toBeLessThan(0.07);
});

import { expect, test } from 'vitest';
import { standardDeviationOf } from '@/lib/quantity/moments';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { varianceShares } from '@/lib/quantity/varianceShares';

const N = 4000;
const normals = (purpose: string) => {
	const random = seededRandom(7, purpose);
	return Float64Array.from({ length: N }, () => random.normal());
};

test('a portfolio of independent parts: each has its squared weight times its variance', () => {
	// Saltelli et al., The Primer, 1.2: Y = sum of W_i Z_i, S_i = (W_i sd_i)^2 / sum of these
	const [weights, sds] = [
		[1, 1.1, 1.2, 1.3],
		[1, 2, 3, 4],
	] as const;
	const parts = weights.map((_, k) => normals(`part ${k}`).map((one) => one * sds[k]!));
	const draws = parts[0]!.map((_, i) => parts.reduce((sum, part, k) => sum + weights[k]! * part[i]!, 0));
	const shares = varianceShares(draws, Object.fromEntries(parts.map((part, k) => [String(k), [part]])));
	const squares = weights.map((weight, k) => (weight * sds[k]!) ** 2);
	const all = squares.reduce((sum, one) => sum + one, 0);
	for (const [k, square] of squares.entries()) {
		// correlations of 4000 draws are within 0.05 of nought
		expect(Math.abs(shares[String(k)]!.varianceShare - square / all)).toBeLessThan(0.05);
		expect(shares[String(k)]!.u).toBeCloseTo(weights[k]! * standardDeviationOf(parts[k]!), 6);
	}
});

test('what does not move the figure has next to no share, what stands still none', () => {
	const [moves, idle] = [normals('moves'), normals('idle')];
	const draws = moves.map((one) => 5 + 2 * one);
	const shares = varianceShares(draws, {
		moves: [moves],
		idle: [idle],
		still: [new Float64Array(N).fill(3)],
		none: [],
	});
	expect(shares.moves.varianceShare).toBeGreaterThan(0.999);
	expect(shares.idle.varianceShare).toBeLessThan(1e-6);
	expect(shares.still).toEqual({ u: 0, varianceShare: 0 });
});

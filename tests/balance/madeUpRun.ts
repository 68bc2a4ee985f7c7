import type { AccountInput, ProductInput } from '@/lib/balance/accountInput';
import { COMPONENTS, type Component } from '@/lib/material/classes';
import { type Random, seededRandom } from '@/lib/quantity/seededRandom';

/** Copper, aluminium, insulation, other; they sum to one. */
export type Shares = readonly [number, number, number, number];

/** A product of a made-up run: what it truly holds. */
export interface TrueProduct {
	readonly id: string;
	readonly massKg: number;
	readonly shares: Shares;
}

/** A shaking-table run as a photo-grading shed might see it. The numbers are invented. */
export const TRUE_PRODUCTS: readonly TrueProduct[] = [
	{ id: 'concentrate', massKg: 2.1, shares: [0.92, 0.03, 0.04, 0.01] },
	{ id: 'middlings', massKg: 3.4, shares: [0.2, 0.1, 0.68, 0.02] },
	{ id: 'tailings', massKg: 43.2, shares: [0.006, 0.01, 0.98, 0.004] },
];

/**
 * Draws of a composition: logarithms scattered about the given shares, one part its own and one shared by index.
 *
 * @param own - relative standard deviation of each component's own error
 * @param shared - draws of a relative error of copper that all products have in common
 */
export function shareDraws(
	shares: Shares,
	own: number,
	shared: ArrayLike<number>,
	count: number,
	random: Random,
): Record<Component, Float64Array> {
	const draws = COMPONENTS.map(() => new Float64Array(count));
	for (let index = 0; index < count; index++) {
		const scattered = scatter(shares, own, shared[index] ?? 0, random);
		for (const [k, column] of draws.entries()) column[index] = scattered[k]!;
	}
	const [copper, aluminium, insulation, other] = draws;
	return { copper: copper!, aluminium: aluminium!, insulation: insulation!, other: other! };
}

/** One scattered composition; the copper's logarithm also takes the shared error. */
export function scatter(shares: Shares, own: number, shared: number, random: Random): Shares {
	const raw = shares.map((share, k) => share * Math.exp(own * random.normal() + (k === 0 ? shared : 0)));
	const sum = raw.reduce((total, share) => total + share, 0);
	return [raw[0]! / sum, raw[1]! / sum, raw[2]! / sum, raw[3]! / sum];
}

/** A run with photos of every product and a weighed feed, as measured without any error. */
export function madeUpRun(count = 200, products: readonly TrueProduct[] = TRUE_PRODUCTS): AccountInput {
	const shared = Float64Array.from({ length: count }, seededRandom(7, 'shared').normal).map((error) => 0.1 * error);
	return {
		runId: 'made up',
		seed: 20,
		drawCount: count,
		feed: { dryMassKg: { value: products.reduce((sum, { massKg }) => sum + massKg, 0) + 0.3, u: 0.25 } },
		products: products.map(
			({ id, massKg, shares }): ProductInput => ({
				id,
				name: id,
				role: id.startsWith('middl') ? 'middlings' : id.startsWith('tail') ? 'tailings' : 'concentrate',
				dryMassKg: { value: massKg, u: 0.01 * massKg },
				gradeDraws: shareDraws(shares, 0.2, shared, count, seededRandom(7, id)),
			}),
		),
	};
}

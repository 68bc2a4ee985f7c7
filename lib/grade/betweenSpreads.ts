import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import { meanOf } from '../quantity/moments';
import type { SpreadArrays } from './spreadDraws';

type ByClass = Readonly<Record<MaterialClass, number>>;

/** What one spread says of how its mass parts into classes. */
export interface SpreadShares {
	/** Mean mass of all classes, grams. */
	readonly massG: number;
	/** Share of each class in it. */
	readonly share: ByClass;
	/** Variance of that share from what each spread has of its own: which pieces were scooped up, false calls, unjudged area. */
	readonly variance: ByClass;
}

/**
 * Shares of mass with the variance to expect between one spread and the next.
 *
 * Densities and thicknesses move all spreads of a product alike, so the draws of area are taken, each class at its mean mass per area.
 * How often things are called wrongly goes by light and is part of it: spreads that differ by no more are told by those draws already.
 *
 * @param drawn - one photo's draws
 */
export function spreadSharesOf({ areaFraction, massG }: Pick<SpreadArrays, 'areaFraction' | 'massG'>): SpreadShares {
	const areas = MATERIAL_CLASSES.map((name) => areaFraction[name]);
	const meanG = MATERIAL_CLASSES.map((name) => meanOf(massG[name]));
	const perArea = areas.map((area, c) => (meanG[c]! > 0 ? meanG[c]! / meanOf(area) : 0));
	const total = meanG.reduce((sum, grams) => sum + grams, 0);
	const draws = areas[0]!.length;
	const squares = new Float64Array(areas.length);
	const sums = new Float64Array(areas.length);
	for (let i = 0; i < draws; i++) {
		let all = 0;
		for (let c = 0; c < areas.length; c++) all += areas[c]![i]! * perArea[c]!;
		if (!(all > 0)) continue;
		for (let c = 0; c < areas.length; c++) {
			const share = (areas[c]![i]! * perArea[c]!) / all;
			sums[c]! += share;
			squares[c]! += share ** 2;
		}
	}
	const at = (name: MaterialClass) => MATERIAL_CLASSES.indexOf(name);
	return {
		massG: total,
		share: perClass((name) => (total > 0 ? meanG[at(name)]! / total : 0)),
		variance: perClass((name) => Math.max(0, squares[at(name)]! / draws - (sums[at(name)]! / draws) ** 2)),
	};
}

/** Several photos of one spread show the same pieces: they count as one, with the mean of their variances. */
export function togetherAsOne(photos: readonly SpreadShares[]): SpreadShares {
	const mean = (of: (photo: SpreadShares) => number) =>
		photos.reduce((sum, photo) => sum + of(photo), 0) / photos.length;
	return {
		massG: mean(({ massG }) => massG),
		share: perClass((name) => mean(({ share }) => share[name])),
		variance: perClass((name) => mean(({ variance }) => variance[name])),
	};
}

/**
 * Relative variance of each class's mass in the product from what its spreads scatter beyond what is to be expected of each.
 *
 * Sample variance of the shares less the mean of their own variances. Shares, not their logarithms: near nought a logarithm makes
 * much of little, and shares between 0 and 1 scatter no more than their mean allows, so that the result is at most the number of
 * spreads times the weights' squares. No weights by variance, since the variance of a share goes with the share. That variance is
 * handed out among the classes as blocks' is (see `samplingVariance.ts`), so that masses drawn apart give it back as shares.
 *
 * @source variance between groups by moments, unweighted: W. Cochran, Biometrics 10 (1954) 101 (from memory)
 */
export function excessBetween(spreads: readonly SpreadShares[]): ByClass {
	const n = spreads.length;
	const allG = spreads.reduce((sum, { massG }) => sum + massG, 0);
	if (n < 2 || !(allG > 0)) return perClass(() => 0);
	const shrinks = spreads.reduce((sum, { massG }) => sum + (massG / allG) ** 2, 0);
	return perClass((name) => {
		const pooled = spreads.reduce((sum, { massG, share }) => sum + massG * share[name], 0) / allG;
		if (!(pooled > 0) || !(pooled < 1)) return 0;
		const mean = spreads.reduce((sum, { share }) => sum + share[name], 0) / n;
		const seen = spreads.reduce((sum, { share }) => sum + (share[name] - mean) ** 2, 0) / (n - 1);
		const expected = spreads.reduce((sum, { variance }) => sum + variance[name], 0) / n;
		return (Math.max(0, seen - expected) * shrinks) / (pooled ** 2 * (1 - pooled));
	});
}

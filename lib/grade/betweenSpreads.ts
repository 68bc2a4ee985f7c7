import { COMPONENTS, MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import { meanOf } from '../quantity/moments';
import { seededRandom } from '../quantity/seededRandom';
import type { SharedErrors } from './sharedErrors';
import { CLASSES_OF, type SpreadArrays } from './spreadDraws';
import type { SpreadName } from './spreadNames';

/** What spreads are compared by: each component's share of all, and the share of bright and of tinned copper in copper. */
export const PARTINGS: readonly { readonly of: readonly MaterialClass[]; readonly among: readonly MaterialClass[] }[] =
	[
		...COMPONENTS.map((component) => ({ of: CLASSES_OF[component], among: MATERIAL_CLASSES })),
		...CLASSES_OF.copper.map((name) => ({ of: [name], among: CLASSES_OF.copper })),
	];

/** What one spread says of one such share. */
export interface SeenShare {
	/** Mean mass of what it is a share of, grams. */
	readonly amongG: number;
	readonly share: number;
	/** Variance of that share from what each spread has of its own: which pieces were scooped up, false calls, unjudged area. */
	readonly variance: number;
	/** The part of that variance that comes from which pieces were scooped up. */
	readonly counting: number;
}

/**
 * Shares of mass, in the order of `PARTINGS`, with the variance to expect between one spread and the next.
 *
 * Densities and thicknesses move all spreads of a product alike, so the draws of area are taken, each class at its mean mass per area.
 *
 * @param drawn - one photo's draws
 * @param sampling - relative variance of each class's mass from which pieces were scooped up (`samplingVarianceOf`)
 */
export function sharesSeen(
	{ areaFraction, massG }: Pick<SpreadArrays, 'areaFraction' | 'massG'>,
	sampling: Readonly<Record<MaterialClass, number>>,
): readonly SeenShare[] {
	const meanOfClass = perClass((name) => meanOf(massG[name]));
	const perArea = MATERIAL_CLASSES.map((name) =>
		meanOfClass[name] > 0 ? meanOfClass[name] / meanOf(areaFraction[name]) : 0,
	);
	const variances = variancesOfShares(
		MATERIAL_CLASSES.map((name) => areaFraction[name]),
		perArea,
	);
	return PARTINGS.map(({ of, among }, k) => {
		const meanG = among.map((name) => meanOfClass[name]);
		const own = among.map((name) => of.includes(name));
		const amongG = meanG.reduce((sum, grams) => sum + grams, 0);
		const share = meanG.reduce((sum, grams, c) => sum + (own[c] ? grams : 0), 0) / Math.max(1e-12, amongG);
		const counting = among.reduce(
			(sum, name, c) =>
				sum + ((meanG[c]! / Math.max(1e-12, amongG)) * (own[c] ? 1 - share : share)) ** 2 * sampling[name],
			0,
		);
		return { amongG, share, variance: variances[k]!, counting };
	});
}

/** `PARTINGS` by places of classes. */
const PLACES = PARTINGS.map(({ of, among }) => ({
	of: of.map((name) => MATERIAL_CLASSES.indexOf(name)),
	among: among.map((name) => MATERIAL_CLASSES.indexOf(name)),
}));

/** Variance of the share of each of `PARTINGS` over draws of area, class by class at a mass per area of its own. */
function variancesOfShares(areas: readonly Float64Array[], perArea: readonly number[]): Float64Array {
	const draws = areas[0]!.length;
	const mass = new Float64Array(areas.length);
	const sums = new Float64Array(PLACES.length);
	const squares = new Float64Array(PLACES.length);
	// Hot loop.
	for (let i = 0; i < draws; i++) {
		for (let c = 0; c < mass.length; c++) mass[c] = areas[c]![i]! * perArea[c]!;
		for (let k = 0; k < sums.length; k++) {
			const all = sumAt(mass, PLACES[k]!.among);
			if (!(all > 0)) continue;
			const share = sumAt(mass, PLACES[k]!.of) / all;
			sums[k]! += share;
			squares[k]! += share ** 2;
		}
	}
	return squares.map((square, k) => Math.max(0, square / draws - (sums[k]! / draws) ** 2));
}

function sumAt(mass: Float64Array, places: readonly number[]): number {
	let sum = 0;
	for (let p = 0; p < places.length; p++) sum += mass[places[p]!]!;
	return sum;
}

/** Several photos of one spread show the same pieces: they count as one, with the mean of their variances. */
export function togetherAsOne(photos: readonly (readonly SeenShare[])[]): readonly SeenShare[] {
	return PARTINGS.map((_, k) => {
		const mean = (of: (seen: SeenShare) => number) => meanOf(photos.map((photo) => of(photo[k]!)));
		return {
			amongG: mean(({ amongG }) => amongG),
			share: mean(({ share }) => share),
			variance: mean(({ variance }) => variance),
			counting: mean(({ counting }) => counting),
		};
	});
}

/** Standard deviations of the log odds that scoops of a bin are tried at: from none to odds twenty times as high and as low. */
export const TRIED: readonly number[] = [0, ...Array.from({ length: 80 }, (_, k) => 0.02 * 150 ** (k / 79))];

/** Three bins in four mixed so well that nothing is seen of it; else half-Cauchy of scale 1, over the geometric steps. */
const MIXED = 0.75;
const BELIEVED = (() => {
	const cauchy = TRIED.map((sd) => sd / (1 + sd ** 2));
	const all = cauchy.reduce((sum, weight) => sum + weight, 0);
	return cauchy.map((weight, k) => (k === 0 ? MIXED : ((1 - MIXED) * weight) / all));
})();

/**
 * How far apart scoops of a bin are in a share's log odds, given how its spreads scatter: the probability of each standard deviation in
 * `TRIED`, added up. Undefined where the bin is taken for well mixed, since there is one spread, and for what is not there or is all.
 *
 * Few spreads tell their scatter badly, and two alike by chance don't show that the bin is well mixed: so the scatter is not taken as seen but
 * believed in by Bayes' rule, from what is believed of bins at large. Squares of n shares about their mean follow chi-square with n - 1
 * degrees of freedom about what is expected of each and what the bin adds. Whether errors of calling are each photo's own or alike in all
 * nobody knows: both are held to be as likely. Shares are compared, not their logarithms, which near nought make much of little.
 *
 * @source a half-Cauchy prior for the scatter of few groups: Gelman, Bayesian Analysis 1 (2006) 515; that three bins in
 *   four are well mixed: our choice, so that ranges of such bins hold no more than 97 in 100 (DEVELOPERS.md)
 */
export function scatterBetween(spreads: readonly SeenShare[]): Float64Array | undefined {
	const n = spreads.length;
	if (n < 2) return undefined;
	const pooled = pooledOf(spreads);
	const perLogOdds = pooled * (1 - pooled);
	if (!(perLogOdds > 0)) return undefined;
	const mean = meanOf(spreads.map(({ share }) => share));
	const squares = spreads.reduce((sum, { share }) => sum + (share - mean) ** 2, 0);
	const expected = [meanOf(spreads.map(({ counting }) => counting)), meanOf(spreads.map(({ variance }) => variance))];
	const logs = TRIED.map((sd) =>
		expected.map((own) => {
			const variance = Math.max(1e-12, own) + (sd * perLogOdds) ** 2;
			return -((n - 1) * Math.log(variance) + squares / variance) / 2;
		}),
	);
	const most = Math.max(...logs.flat());
	let all = 0;
	const addedUp = Float64Array.from(logs, (each, k) => {
		all += BELIEVED[k]! * each.reduce((sum, log) => sum + Math.exp(log - most), 0);
		return all;
	});
	return addedUp.map((sum) => sum / all);
}

/** The share in all spreads together. */
function pooledOf(spreads: readonly SeenShare[]): number {
	const allG = spreads.reduce((sum, { amongG }) => sum + amongG, 0);
	return allG > 0 ? spreads.reduce((sum, { amongG, share }) => sum + amongG * share, 0) / allG : 0;
}

/**
 * Scatter a product's masses by how far apart scoops of its bin may be: log-normal factors, so that log odds scatter as believed. A share's
 * own mass takes the part (1 - share) of their variance, so that masses drawn apart give it back. In each draw all are about equally far
 * apart.
 *
 * @param massG - draws of mass by class; changed in place
 * @param names - of the spreads (`spreadNames`)
 */
export function scatterMasses(
	massG: Readonly<Record<MaterialClass, Float64Array>>,
	spreads: readonly (readonly SeenShare[])[],
	{ seed, draws, held }: SharedErrors,
	names: readonly SpreadName[],
): void {
	if (spreads.length < 2 || held.has('sampling')) return;
	const seeds = names.map(({ name }) => name);
	const chances = seededRandom(seed, 'how far apart spreads are', ...seeds);
	const chance = Float64Array.from({ length: draws }, () => chances.uniform());
	for (const [k, { of, among }] of PARTINGS.entries()) {
		const seen = spreads.map((shares) => shares[k]!);
		// one planned like another says nothing of how far apart they are
		const addedUp = scatterBetween(seen.filter((_, s) => !names[s]!.isRepeated));
		if (addedUp === undefined) continue;
		const allG = seen.reduce((sum, { amongG }) => sum + amongG, 0);
		const shrinks = seen.reduce((sum, { amongG }) => sum + (amongG / allG) ** 2, 0);
		const own = Math.sqrt((1 - pooledOf(seen)) * shrinks);
		const { normal } = seededRandom(seed, 'between spreads', ...of, 'among', ...among, ...seeds);
		for (let i = 0; i < draws; i++) {
			const factor = Math.exp(own * TRIED[placeOf(addedUp, chance[i]!)]! * normal());
			for (const name of of) massG[name][i]! *= factor;
		}
	}
}

/** The first place whose sum is above a chance. */
function placeOf(addedUp: Float64Array, chance: number): number {
	let [low, high] = [0, addedUp.length - 1];
	while (low < high) {
		const middle = (low + high) >> 1;
		if (addedUp[middle]! > chance) high = middle;
		else low = middle + 1;
	}
	return low;
}

import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import type { MaterialClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import { estimateOf } from '../quantity/estimateOf';
import { meanOf } from '../quantity/moments';
import type { Estimate, Quantity } from '../quantity/quantity';
import { seededRandom } from '../quantity/seededRandom';
import { type Check, type CheckOf, checksOfKind, weighingU } from './checkEntry';
import { differenceEstimate, FEWEST_DIFFERENCES } from './differenceEstimator';
import type { GradeDraws } from './gradeDraws';
import { countPieces } from './gradeProduct';
import { defaultLockedCopper, lockedIsChecked } from './lockedCopper';
import { spreadSamplingOf } from './samplingPlan';

/**
 * All copper of a product by weighed spreads and what they differ from their pictures, with the copper locked in insulation as it goes with
 * what was weighed.
 *
 * Never narrower than scale and counted pieces allow: three spreads may agree by chance, or all hold nothing, and none among n pieces still
 * leaves 3 in n. Free copper is drawn about its value on the logit, as wide as that asks for, so that nothing leaves 0 to 1.
 *
 * @param photo - draws from the photos, which the locked copper is taken from
 * @param material - with its locked copper as strips of the product found it
 * @returns undefined where fewer than three spreads were weighed
 * @source three in n: Hanley and Lippman-Hand, JAMA 249 (1983) 1743 (from memory)
 */
export function copperByDifferences(
	checks: readonly Check[],
	spreads: readonly (readonly SpreadReading[])[],
	photo: GradeDraws,
	material: Material,
	seed: number,
): Estimate | undefined {
	const sorts = checksOfKind(checks, 'handSort').filter(({ spread }) => spreads[spread - 1] !== undefined);
	if (new Set(sorts.map(({ spread }) => spread)).size < FEWEST_DIFFERENCES) return undefined;
	const { gradePerSpread, fundamentalU } = spreadSamplingOf(spreads, material);
	const weighed = sorts.map((sort) => weighedCopperOf(sort, material));
	const free = differenceEstimate(
		gradePerSpread,
		sorts.map(({ spread }, k) => ({ picture: gradePerSpread[spread - 1]!, weighed: weighed[k]!.value })),
	);
	const weighingOfMean = Math.hypot(...weighed.map(({ u }) => u)) / sorts.length;
	const least = COVERAGE_FACTOR * Math.hypot(fundamentalU / Math.sqrt(spreads.length), weighingOfMean);
	const uncounted = Math.max(least, 3 / Math.max(1, countPieces(spreads)));
	const middle = logitOf(free.value);
	const down = middle - Math.min(logitOf(free.low), logitOf(free.value - uncounted));
	const up = Math.max(logitOf(free.high), logitOf(free.value + uncounted)) - middle;
	const locked = lockedBeside(free.value, photo, material);
	const freedom = sorts.length - 1;
	const random = seededRandom(seed, 'weighed spreads', JSON.stringify(sorts));
	const perT = 1 / tQuantile(0.975, freedom);
	const draws = locked.map((share) => {
		// Student's t: JCGM 101:2008 6.4.9
		const t = random.normal() / Math.sqrt((2 * random.gamma(freedom / 2)) / freedom);
		const own = atLogit(middle + t * perT * (t < 0 ? down : up));
		return own + (1 - own) * share;
	});
	const value = free.value + (1 - free.value) * meanOf(locked);
	const { low, high } = estimateOf(draws, value);
	return { value, low: Math.min(value, low), high: Math.max(value, high) };
}

/**
 * Draws of the locked copper's share beside so much free copper: as the photos have it where strips told it, else as the default makes of
 * what was weighed what it makes of what was seen (false calls of copper bring no locked copper along).
 */
function lockedBeside(free: number, photo: GradeDraws, material: Material): Float64Array {
	const isChecked = lockedIsChecked(material);
	return photo.copper.map((copper, i) => {
		const [seen, insulation] = [photo.freeCopper[i]!, photo.insulation[i]!];
		const locked = Math.max(0, copper - seen);
		if (isChecked || locked === 0) return locked;
		return (locked * defaultLockedCopper(free, insulation, 1)) / defaultLockedCopper(seen, insulation, 1);
	});
}

/** Copper over all piles of a sort; a pile that was looked for and not found was not weighed. */
function weighedCopperOf({ piles }: CheckOf<'handSort'>, { classes }: Material): Quantity {
	const found = (Object.keys(piles) as MaterialClass[]).flatMap((name) => {
		const pile = piles[name];
		return pile === undefined || pile.massG <= 0 ? [] : [{ pile, copper: classes[name].copperFraction.value }];
	});
	const all = found.reduce((sum, { pile }) => sum + pile.massG, 0);
	const value = found.reduce((sum, { pile, copper }) => sum + pile.massG * copper, 0) / all;
	return { value, u: Math.hypot(...found.map(({ pile, copper }) => ((copper - value) * weighingU(pile)) / all)) };
}

/** At the very ends the logit has no scale; half a thousandth stands in for nothing. */
function logitOf(share: number): number {
	const inside = Math.min(1 - 5e-4, Math.max(5e-4, share));
	return Math.log(inside / (1 - inside));
}

function atLogit(logit: number): number {
	return 1 / (1 + Math.exp(-logit));
}

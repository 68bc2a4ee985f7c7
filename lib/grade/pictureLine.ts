import type { Material } from '../material/material';
import { type LineFit, lineThrough } from '../quantity/lineFit';
import type { Quantity } from '../quantity/quantity';
import { weighingU } from './checkEntry';
import { PIECE_SCATTER, type SortedSpread, SUM_SCATTER } from './learnMassPerArea';
import { spreadSamplingOf } from './samplingPlan';

/** One sorted spread: free copper by its picture and by its piles. */
export interface PictureAgainstPiles {
	readonly label: string;
	readonly picture: Quantity;
	readonly weighed: Quantity;
}

/** Sorted spreads by picture and by weight, and the line through them where there are enough. */
export interface PictureLine {
	readonly points: readonly PictureAgainstPiles[];
	readonly line?: LineFit;
}

/** Fewer points than this, or grades closer together, tell no slope. */
const [FEWEST_POINTS, NARROWEST_SPAN] = [5, 0.1];

/**
 * How the pictures' free copper stands to the weighed one over all sorted spreads: a line with errors on both sides, since neither is
 * exact.
 *
 * The picture's own error is what single pieces and sums of a kind scatter about their areas; the piles' is their weighing. What all
 * pictures have in common is what the line shows.
 */
export function pictureLineOf(sorted: readonly SortedSpread[], material: Material): PictureLine {
	const points = sorted.flatMap((spread) => pointOf(spread, material));
	const span =
		Math.max(...points.map(({ weighed }) => weighed.value)) - Math.min(...points.map(({ weighed }) => weighed.value));
	if (points.length < FEWEST_POINTS || !(span >= NARROWEST_SPAN)) return { points };
	try {
		return { points, line: lineThrough(points.map(({ picture, weighed }) => ({ x: weighed, y: picture }))) };
	} catch (cause) {
		if (!(cause instanceof RangeError)) throw cause;
		return { points };
	}
}

function pointOf({ label, reading, check }: SortedSpread, material: Material): readonly PictureAgainstPiles[] {
	const piles = Object.entries(check.piles).flatMap(([name, pile]) =>
		pile === undefined
			? []
			: [{ copper: material.classes[name as keyof typeof material.classes].copperFraction.value, pile }],
	);
	const all = piles.reduce((sum, { pile }) => sum + pile.massG, 0);
	const value = piles.reduce((sum, { copper, pile }) => sum + copper * pile.massG, 0) / all;
	const u = Math.hypot(...piles.map(({ copper, pile }) => ((copper - value) * weighingU(pile)) / all));
	const [picture] = spreadSamplingOf([[reading]], material).gradePerSpread;
	if (picture === undefined || !(u > 0)) return [];
	const { brightCopper, tinnedCopper, insulation } = reading.pieces;
	const scatter = (count: number) => PIECE_SCATTER / Math.sqrt(Math.max(1, count));
	const relative = Math.hypot(
		scatter(brightCopper.count + tinnedCopper.count),
		scatter(insulation.count),
		Math.SQRT2 * SUM_SCATTER,
	);
	// a share moves by share times rest times the relative change of the ratio
	const own = Math.max(1e-4, picture * (1 - picture) * relative);
	return [{ label, picture: { value: picture, u: own }, weighed: { value, u } }];
}

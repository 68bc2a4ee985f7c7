import { CLASS_CODE, MATERIAL_CLASSES } from '../material/classes';

/**
 * How much the summed probabilities say in a class's area, beside the pixels whose likeliest class it is. Likeliest classes lose
 * what is rare and thin, sums spread some of everything everywhere. On whole scenes that the network has not seen
 * (`models/confusion.json`, models/CARD.md) the four classes' errors hardly change between a half and eight tenths, and are larger with either alone.
 */
const SUMMED = 0.6;
/**
 * A metal under this share of the pieces may not be there at all: its sums then count less and less, so that a blank stays
 * one. Chosen for bright copper, with a former network; on the present one's held-out scenes it does for tinned copper and aluminium
 * as it does for copper: the four classes' errors together fall on trays and stay on mats.
 */
const PLAINLY_THERE = 0.03;

/**
 * How a class's area is made of two ways of counting a field's pixels: `likeliest x share + summed x (1 - share)`.
 *
 * @param likeliest - pixels by likeliest class, bare surface first
 * @returns the share, by class code
 */
export function shareOfLikeliest(likeliest: ArrayLike<number>): Float64Array {
	const of = new Float64Array(MATERIAL_CLASSES.length + 1).fill(1 - SUMMED);
	let pieces = 0;
	for (let code = 1; code < of.length; code++) pieces += likeliest[code]!;
	for (const metal of ['brightCopper', 'tinnedCopper', 'aluminium'] as const) {
		const share = likeliest[CLASS_CODE[metal]]! / Math.max(pieces, 1e-9);
		of[CLASS_CODE[metal]] = 1 - SUMMED * Math.min(1, share / PLAINLY_THERE);
	}
	return of;
}

/**
 * Which part of a class's summed probabilities is believed of pixels that are sure of no class: less of a bright copper that may not be
 * there at all. The other metals' stay whole, since thin tinned strands on white are often sure of nothing, and what is not judged
 * must widen ranges.
 */
export function shareOfUnsure(shareOfLikeliest: number, code: number): number {
	return code === CLASS_CODE.brightCopper ? (1 - shareOfLikeliest) / SUMMED : 1;
}

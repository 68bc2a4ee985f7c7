import {
	float,
	less,
	loadByte,
	loadShort,
	loadWord,
	minus,
	minusFloat,
	smallerFloat,
	storeByte,
	storeFloat,
	storeWord,
	timesFloat,
	toFloat,
} from '../segmentation/wasmBytes';
import { get, increase, plus, repeat, set, some, times, type WasmFunction, whole } from '../segmentation/wasmCode';
import { climb, follow, settle } from './climbCode';
import { across, column, PARTS, square } from './distanceCode';
import { rims } from './rimCode';

/**
 * Distances to the nearest other label and the climb to their ridges, eight pixels at a time.
 *
 * Pictures are planes of rows `stride` pixels apart, a multiple of sixteen and larger than the width, with a margin of zeros to
 * the right, above and below.
 */
export interface WidthFunctions {
	/**
	 * Distances up or down to the nearest other label, one row from those of the row before it: bytes that stop at 255. `least` has
	 * what is known already and takes the smaller one.
	 */
	column(labels: number, before: number, known: number, into: number, least: number, sixteens: number): void;
	/** The same distances of one row squared, into `wide` rows with `REACH` pixels to either side. */
	square(row: number, into: number, sixteens: number): void;
	/** Distances of one row in 128ths of a pixel; ORs into `far` where one may be larger than `REACH` pixels. */
	across(labels: number, squares: number, into: number, eights: number, far: number): void;
	/** Of one row the neighbour that each pixel climbs to: 0 to 7 in reading order, 8 on the ridge. */
	climb(labels: number, distances: number, into: number, stride: number, eights: number, slope: number): void;
	/**
	 * The distance where a climb ends, for pixels whose next pixel has it already or that lie on the ridge: along the runs of one row,
	 * forth or back as `turn` is 1 or -1. `begins` has the pixels that runs are begun at, but for `shift`; `steps` the eight neighbours
	 * and 0.
	 */
	settle(
		ends: number,
		starts: number,
		begins: number,
		count: number,
		shift: number,
		turn: number,
		distances: number,
		climbs: number,
		ridges: number,
		steps: number,
	): void;
	/** The same for what is left: for each labelled pixel of one row the distance where its climb ends. */
	follow(
		labels: number,
		distances: number,
		climbs: number,
		ridges: number,
		steps: number,
		base: number,
		eights: number,
	): void;
	/** Widths of the pixels of one row's runs, one after another from the address at `place` on, and the labels of thin ones. */
	widths(
		starts: number,
		ends: number,
		count: number,
		shift: number,
		labels: number,
		ridges: number,
		thin: number,
		longest: number,
		place: number,
	): void;
	/** Borders of one row's pixels (rimCode.ts). */
	rims(labels: number, thin: number, into: number, stride: number, sixteens: number): void;
}

/** Goes along the runs of one row, `count` of them, at least one; `shift` leads from a place in the picture to one in the planes. */
function widthsWith(excessPx: number, thinPx: number): WasmFunction {
	return {
		name: 'widths',
		parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
		body: (locals) => {
			const [starts, ends, count, shift, labels, ridges, thin, longest, place] = [0, 1, 2, 3, 4, 5, 6, 7, 8] as const;
			const [at, ridge, into] = some(locals, 3, 'i32');
			return [
				...set(into, loadWord(get(place))),
				...repeat(locals, get(count), [
					...set(at, plus(loadWord(get(starts)), get(shift))),
					...repeat(locals, minus(loadWord(get(ends)), loadWord(get(starts))), [
						...set(ridge, loadShort(plus(get(ridges), plus(get(at), get(at))))),
						...storeByte(
							plus(get(thin), get(at)),
							times(loadByte(plus(get(labels), get(at))), less(get(ridge), whole(Math.floor(thinPx * PARTS) + 1))),
						),
						...storeFloat(
							get(into),
							smallerFloat(
								minusFloat(timesFloat(toFloat(get(ridge)), float(2 / PARTS)), float(excessPx)),
								toFloat(get(longest)),
							),
						),
						...increase(into, whole(4)),
						...increase(at, whole(1)),
					]),
					...increase(starts, whole(4)),
					...increase(ends, whole(4)),
				]),
				...storeWord(get(place), get(into)),
			];
		},
	};
}

/** What a local width is told from. */
export interface RidgeRule {
	/** Steepest climb at which a pixel lies on the ridge, pixels a pixel. */
	readonly slope: number;
	/** What twice the ridge distance overstates, pixels. */
	readonly excessPx: number;
	/** Ridge distance up to which a part counts as thin, pixels. */
	readonly thinPx: number;
}

/** The functions for one rule. */
export function widthCode({ excessPx, thinPx }: RidgeRule): WasmFunction[] {
	return [column, square, across, climb, settle, follow, widthsWith(excessPx, thinPx), rims];
}

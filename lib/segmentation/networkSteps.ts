import type { Band, Plane, Planes } from './networkMemory';

/** One layer: rows of `to` from rows of the planes in `from`. */
export interface Step {
	readonly kind: 'convolve' | 'convolveOnto' | 'halve' | 'mix' | 'widen' | 'widenOnto';
	readonly name: string;
	readonly from: readonly Plane[];
	readonly to: Plane;
	/** What stands in the band of `to` before. */
	readonly under?: Plane;
}

/** Times that the pair of layers at an eighth of the scale is gone through, with the same weights: as trained, so weights trained otherwise are refused. */
export const DEEP_ROUNDS = 3;

/** The layers in order. */
export function stepsOf(p: Planes): readonly Step[] {
	return [
		{ kind: 'convolve', name: 'e0a', from: [p.picture], to: p.full },
		{ kind: 'convolve', name: 'e0b', from: [p.full], to: p.fine },
		{ kind: 'halve', name: 'd1', from: [p.fine], to: p.t1 },
		{ kind: 'convolve', name: 'e1a', from: [p.t1], to: p.h1 },
		{ kind: 'convolveOnto', name: 'e1b', from: [p.h1], to: p.x1, under: p.t1 },
		{ kind: 'halve', name: 'd2', from: [p.x1], to: p.s2 },
		{ kind: 'convolve', name: 'e2a', from: [p.s2], to: p.x2 },
		{ kind: 'halve', name: 'd3', from: [p.x2], to: p.t3 },
		{ kind: 'convolve', name: 'e3a', from: [p.t3], to: p.h3 },
		{ kind: 'convolveOnto', name: 'e3b', from: [p.h3], to: p.x3, under: p.t3 },
		// the same two layers once more, and again: DEEP_ROUNDS in all
		{ kind: 'convolve', name: 'e3a', from: [p.x3], to: p.h4 },
		{ kind: 'convolveOnto', name: 'e3b', from: [p.h4], to: p.x4, under: p.x3 },
		{ kind: 'convolve', name: 'e3a', from: [p.x4], to: p.h5 },
		{ kind: 'convolveOnto', name: 'e3b', from: [p.h5], to: p.x5, under: p.x4 },
		{ kind: 'mix', name: 'u2', from: [p.x5], to: p.u2 },
		{ kind: 'mix', name: 'j2', from: [p.x2], to: p.p2 },
		{ kind: 'widenOnto', name: 'u2', from: [p.u2], to: p.y2, under: p.p2 },
		{ kind: 'convolve', name: 'f2', from: [p.y2], to: p.z2 },
		{ kind: 'mix', name: 'u1', from: [p.z2], to: p.u1 },
		{ kind: 'mix', name: 'j1', from: [p.x1], to: p.p1 },
		{ kind: 'widenOnto', name: 'u1', from: [p.u1], to: p.q1, under: p.p1 },
		{ kind: 'convolve', name: 'f1a', from: [p.q1], to: p.g1 },
		{ kind: 'convolveOnto', name: 'f1b', from: [p.g1], to: p.y1, under: p.q1 },
		{ kind: 'mix', name: 'u0', from: [p.y1], to: p.u0 },
		{ kind: 'widen', name: 'u0', from: [p.u0], to: p.coarse },
		{ kind: 'convolve', name: 'f0a', from: [p.coarse, p.fine], to: p.f0 },
		{ kind: 'convolve', name: 'features', from: [p.f0], to: p.features },
		{ kind: 'mix', name: 'classes', from: [p.features], to: p.scores },
	];
}

/** Rows of the picture that are given at a time: one row of tiles. */
export const ROWS_AT_ONCE = 4;
/** Rows that a layer writes at a time: 3 x 3 layers go by tiles of 4 x 4 pixels. */
function heightOf({ kind }: Step): number {
	return kind === 'convolve' || kind === 'convolveOnto' ? 4 : 1;
}

/** Where the rows end that are written when so many are wanted: they are written by fours. */
export function endOf(rows: number): number {
	return 4 * Math.ceil(rows / 4);
}

/** Rows that a step can write next, none where what it reads is not there yet. */
export function rowsReady(step: Step): number {
	const { from, to, under } = step;
	const next = Math.min(to.band.height, to.done + heightOf(step));
	if (next === to.done || (under !== undefined && under.done < next)) return 0;
	const isThere = from.every((plane) => plane.done >= Math.min(plane.band.height, lastNeeded(step, next) + 1));
	return isThere ? next - to.done : 0;
}

/** Last row that a step reads to write the rows before `next`. */
function lastNeeded({ kind, to }: Step, next: number): number {
	if (kind === 'halve') return 2 * next - 1;
	if (kind === 'mix') return next - 1;
	if (kind === 'widen' || kind === 'widenOnto') return (next - 1) >> 1;
	return to.done + 4;
}

/** First row that a step still reads. */
function firstNeeded({ kind, to: { done } }: Step): number {
	if (kind === 'halve') return 2 * done;
	if (kind === 'mix') return done;
	if (kind === 'widen' || kind === 'widenOnto') return done >> 1;
	return done - 1;
}

/**
 * Go through the picture until all is written; no row is worked out twice. Of the layers that can write, the one nearest to the answers does, so
 * that rows are used up while they lie in the cache and few are kept; the picture's next rows are asked for when none can.
 *
 * @param give - the picture's rows from `from` to `to` (not included) are wanted
 * @param write - a step's next rows are to be written; `done` is moved on after it
 * @param taken - the rows of the last plane from `from` to `to` (not included) are there
 */
export function goThrough(
	{ picture, scores }: Planes,
	steps: readonly Step[],
	give: (from: number, to: number) => void,
	write: (step: Step, rows: number) => void,
	taken: (from: number, to: number) => void,
): void {
	const { height } = picture.band;
	while (scores.done < height) {
		const step = steps.findLast((one) => rowsReady(one) > 0);
		if (step === undefined) {
			const to = Math.min(height, picture.done + ROWS_AT_ONCE);
			give(picture.done, to);
			picture.done = to;
			continue;
		}
		const rows = rowsReady(step);
		write(step, rows);
		step.to.done += rows;
		if (step.to === scores) taken(scores.done - rows, scores.done);
	}
}

/**
 * Rows that a band must keep when it is written up to row `end` (not included).
 *
 * @param taken - rows of the last plane that are used up
 */
export function rowsHeld(planes: Planes, steps: readonly Step[], band: Band, end: number, taken: number): number {
	let oldest = end;
	for (const step of steps) {
		if (step.from.some((plane) => plane.band === band)) oldest = Math.min(oldest, firstNeeded(step));
		if (step.under?.band === band) oldest = Math.min(oldest, step.to.done);
	}
	if (band === planes.features.band || band === planes.scores.band) oldest = Math.min(oldest, taken);
	// behind the picture's last row lie zeros, up to one row behind the last tile
	const behind = end >= band.height ? 4 * Math.ceil(band.height / 4) + 1 : end;
	return behind - oldest;
}

/** Set how many rows each band keeps, by going through without working anything out; planes stand at no rows again. */
export function sizeBands(planes: Planes, steps: readonly Step[]): Set<Band> {
	const all = Object.values(planes);
	const bands = new Set(all.map(({ band }) => band));
	let taken = 0;
	const hold = (band: Band, end: number) => {
		band.rows = Math.max(band.rows, 4 * Math.ceil(rowsHeld(planes, steps, band, end, taken) / 4));
	};
	goThrough(
		planes,
		steps,
		(_, to) => hold(planes.picture.band, to),
		(step, rows) => hold(step.to.band, endOf(step.to.done + rows)),
		(_, to) => {
			taken = to;
		},
	);
	for (const plane of all) plane.done = 0;
	return bands;
}

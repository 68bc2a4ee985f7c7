import { joinRuns, runsOf } from './labelRuns';

/** Connected pieces of a label picture. */
export interface Regions {
	readonly count: number;
	/** Region number of each pixel, 1 to `count`, numbered by first pixel in reading order; 0 outside. Height x width. */
	readonly ids: Int32Array;
}

/**
 * Join neighbouring pixels into regions.
 *
 * Thin strands run diagonally, so pixels that touch by a corner belong together unless told otherwise.
 *
 * @param labels - one label a pixel, height x width, row-major; 0 belongs to no region
 * @param join - `sameLabel`: only equal labels hold together; `anyLabel`: everything that is not 0 does
 * @param neighbours - 8 or 4
 */
export function labelRegions(
	labels: Uint8Array,
	width: number,
	height: number,
	join: 'sameLabel' | 'anyLabel' = 'sameLabel',
	neighbours: 4 | 8 = 8,
): Regions {
	const runs = runsOf(join === 'anyLabel' ? labels.map((label) => (label === 0 ? 0 : 1)) : labels, width, height);
	const { count, region } = joinRuns(runs, neighbours);
	const ids = new Int32Array(labels.length);
	for (let run = 0; run < runs.count; run++) ids.fill(region[run]!, runs.start[run]!, runs.end[run]!);
	return { count, ids };
}

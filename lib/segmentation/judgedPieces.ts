import type { Raster } from '../photo/raster';
import { JUDGED_PIECE } from './cellCode';
import { addPieces, type Pieces } from './cellPieces';
import type { ClassMap } from './classMap';
import { COLOUR_WEIGHT } from './gloss';
import type { Runs } from './labelRuns';
import { LOG_STEPS_PER_E } from './lookupTable';
import { Room } from './room';
import { type StepTable, TILE_PX } from './stepTable';

const room = new Room();

/** Log-odds by colour don't go lower. */
const LEAST_LOG = -128;
/** Nor above. */
const MOST_LOG = 128;

/** The copper that its piece's shine speaks against, square of light by square, with the log-odds by colour below which it is outvoted; good until they are asked for again. */
export function judgedPieces(
	raster: Raster,
	{ width, height, columnOffset, rowOffset }: ClassMap,
	runs: Runs,
	region: Int32Array,
	votes: Float64Array,
	{ across, starts }: StepTable,
): Pieces {
	const leasts = new Int32Array(votes.length);
	for (let piece = 0; piece < votes.length; piece++) leasts[piece] = leastLog(votes[piece]!);
	const pieces = room.words(JUDGED_PIECE * mostPieces(runs, region, leasts));
	const firstOfRow = new Int32Array(height + 1);
	let count = 0;
	for (let row = 0; row < height; row++) {
		firstOfRow[row] = count;
		const shift = (row + rowOffset) * raster.width + columnOffset - row * width;
		const tiles = Math.floor(row / TILE_PX) * across;
		count = judgeRow(pieces, count, runs, region, leasts, row, shift, starts, tiles);
	}
	firstOfRow[height] = count;
	return { pieces: pieces.subarray(0, count), firstOfRow };
}

/** Log-odds by colour, whole numbers, below which a pixel of a piece is outvoted; `LEAST_LOG` where none is. */
function leastLog(vote: number): number {
	const least = (-LOG_STEPS_PER_E * vote) / COLOUR_WEIGHT;
	return least <= LEAST_LOG ? LEAST_LOG : Math.ceil(Math.min(MOST_LOG, least));
}

/** At most so many stretches within a square of light the runs that may be outvoted have. */
function mostPieces({ count, start, end }: Runs, region: Int32Array, leasts: Int32Array): number {
	let most = 0;
	for (let run = 0; run < count; run++)
		if (leasts[region[run]! - 1]! > LEAST_LOG) most += 2 + Math.floor((end[run]! - start[run]!) / TILE_PX);
	return most;
}

/** Writes the stretches of one row from entry `at` on; returns where the next are to go. */
function judgeRow(
	pieces: Int32Array,
	at: number,
	{ start, end, firstOfRow, width }: Runs,
	region: Int32Array,
	leasts: Int32Array,
	row: number,
	shift: number,
	starts: Int32Array,
	tiles: number,
): number {
	let next = at;
	for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
		const least = leasts[region[run]! - 1]!;
		if (least <= LEAST_LOG) continue;
		const first = next;
		next = addPieces(pieces, next, JUDGED_PIECE, start[run]!, end[run]!, row * width, shift, starts, tiles);
		for (let k = first; k < next; k += JUDGED_PIECE) pieces[k + JUDGED_PIECE - 1] = least;
	}
	return next;
}

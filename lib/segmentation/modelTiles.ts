/** A piece of a picture that the network reads at once, and the part of it whose answers are used. */
export interface Tile {
	/** The window read; it may reach beyond the picture at the right and the bottom, by less than a step. */
	readonly left: number;
	readonly top: number;
	readonly width: number;
	readonly height: number;
	/** Rows and columns of the picture answered by this tile; `to` is not included. */
	readonly fromColumn: number;
	readonly toColumn: number;
	readonly fromRow: number;
	readonly toRow: number;
}

/** Longest side of the part used (a field on the mat takes two of them), and what is read around it: no less than the network's reach (76 pixels), so seams do not show. */
const CORE = 896;
/** Longest width of it where a picture is read row by row: fields of up to half a metre are read in one. */
const WIDE_CORE = 4096;
const MARGIN = 80;
/** The network halves the picture three times; windows start and end on multiples of eight so that all halve alike. */
const STEP = 8;

/**
 * Cut a picture into tiles, row by row. Every pixel is answered by exactly one of them.
 *
 * @param isTall - tiles may be as tall as the picture; they are wider then
 */
export function* eachTile(width: number, height: number, isTall = false): Generator<Tile> {
	for (const rows of spans(height, isTall ? height : CORE))
		for (const columns of spans(width, isTall ? WIDE_CORE : CORE))
			yield {
				left: columns.start,
				top: rows.start,
				width: columns.length,
				height: rows.length,
				fromColumn: columns.from,
				toColumn: columns.to,
				fromRow: rows.from,
				toRow: rows.to,
			};
}

function* spans(size: number, most: number): Generator<{ from: number; to: number; start: number; length: number }> {
	const whole = Math.ceil(size / STEP) * STEP;
	// parts of like size: a sliver would be read mostly for its margin
	const core = Math.ceil(size / Math.ceil(size / most) / STEP) * STEP;
	for (let from = 0; from < size; from += core) {
		const to = Math.min(size, from + core);
		const start = Math.max(0, from - MARGIN);
		const end = Math.min(whole, Math.ceil((to + MARGIN) / STEP) * STEP);
		yield { from, to, start, length: end - start };
	}
}

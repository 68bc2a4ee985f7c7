/** A picture of three linear channels, read row by row. */
export interface Source {
	readonly width: number;
	readonly height: number;
	/** Write the three channels of the pixels of row `y`. */
	readonly readRow: (y: number, line: Float32Array) => void;
}

/** To which size: `rows` x `columns`, padded at right and bottom. */
export interface Target {
	readonly columns: number;
	readonly rows: number;
	/** Size of the result; what lies beyond `columns` and `rows` repeats the last column and row. */
	readonly width: number;
	readonly height: number;
}

/**
 * Bring rows of a picture to another size in linear light: a tent over two target pixels when shrinking (so that light is
 * averaged, not picked), straight-line interpolation when enlarging.
 *
 * @returns writes row `y` of the target, three channels a pixel, into `into`; rows are cheapest in order
 */
export function resampledLines(source: Source, target: Target): (y: number, into: Float32Array) => void {
	const across = tents(source.width, target.columns);
	const down = tents(source.height, target.rows);
	const rows = new RowsInUse(source);
	const line = new Float32Array(source.width * 3);
	return (y, into) => {
		sumOfRows(rows, down, Math.min(target.rows - 1, y), line);
		narrow(line, across, into);
		for (let i = target.columns * 3; i < into.length; i++) into[i] = into[i - 3]!;
	};
}

/** Source rows, kept while the next target rows may need them. */
class RowsInUse {
	private readonly kept: { y: number; line: Float32Array }[] = [];
	constructor(private readonly source: Source) {}
	/** Row `y`; rows before `from` are needed no more. */
	at(y: number, from: number): Float32Array {
		const known = this.kept.find((row) => row.y === y);
		if (known !== undefined) return known.line;
		let row = this.kept.find((old) => old.y < from || old.y > y);
		if (row === undefined) {
			row = { y, line: new Float32Array(this.source.width * 3) };
			this.kept.push(row);
		}
		row.y = y;
		this.source.readRow(y, row.line);
		return row.line;
	}
}

/** Weighted sum of the source rows under tent `k`. */
function sumOfRows(rows: RowsInUse, { from, start, weights }: Tents, k: number, line: Float32Array): void {
	const top = from[k]!;
	const count = start[k + 1]! - start[k]!;
	for (let y = 0; y < count; y += 2) {
		const row = rows.at(top + y, top);
		const weight = weights[start[k]! + y]!;
		// two at a time; where one is left over it stands for both, the second with no weight
		const isPair = y + 1 < count;
		const next = isPair ? rows.at(top + y + 1, top) : row;
		const nextWeight = isPair ? weights[start[k]! + y + 1]! : 0;
		// Hot loops.
		if (y === 0) for (let i = 0; i < line.length; i++) line[i] = weight * row[i]! + nextWeight * next[i]!;
		else for (let i = 0; i < line.length; i++) line[i] = line[i]! + weight * row[i]! + nextWeight * next[i]!;
	}
}

/** A line at the tents' width. */
function narrow(line: Float32Array, { count, from, start, weights }: Tents, into: Float32Array): void {
	// Hot loop.
	for (let column = 0; column < count; column++) {
		let at = 3 * from[column]!;
		let [red, green, blue] = [0, 0, 0];
		for (let k = start[column]!; k < start[column + 1]!; k++, at += 3) {
			const weight = weights[k]!;
			red += weight * line[at]!;
			green += weight * line[at + 1]!;
			blue += weight * line[at + 2]!;
		}
		into[3 * column] = red;
		into[3 * column + 1] = green;
		into[3 * column + 2] = blue;
	}
}

/** Weights of the source pixels that make each target pixel. */
export interface Tents {
	readonly count: number;
	/** First source pixel of each. */
	readonly from: Int32Array;
	/** Where its weights start, one entry more than targets; each target's sum to 1. */
	readonly start: Int32Array;
	readonly weights: Float64Array;
}

/** The weights that bring `size` pixels to `count`. */
export function tents(size: number, count: number): Tents {
	const step = size / count;
	const reach = Math.max(1, step);
	const first = new Int32Array(count);
	const start = new Int32Array(count + 1);
	const weights: number[] = [];
	for (let k = 0; k < count; k++) {
		const centre = (k + 0.5) * step - 0.5;
		const from = Math.max(0, Math.ceil(centre - reach));
		const to = Math.min(size - 1, Math.floor(centre + reach));
		let sum = 0;
		for (let i = from; i <= to; i++) sum += 1 - Math.abs(i - centre) / reach;
		if (sum > 0) {
			first[k] = from;
			for (let i = from; i <= to; i++) weights.push((1 - Math.abs(i - centre) / reach) / sum);
		} else {
			first[k] = Math.min(size - 1, Math.max(0, Math.round(centre)));
			weights.push(1);
		}
		start[k + 1] = weights.length;
	}
	return { count, from: first, start, weights: Float64Array.from(weights) };
}

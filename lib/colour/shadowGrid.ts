/** A smooth map on square knots, read between them by straight interpolation; values are logarithms. */
export interface ShadowGrid {
	readonly leftMm: number;
	readonly topMm: number;
	readonly pitchMm: number;
	readonly columns: number;
	readonly rows: number;
	/** rows x columns, row-major. */
	readonly log: readonly number[];
}

/** Readings off the grid: entry i of each array belongs to reading i; only the first `count` stand for something. */
export interface GridReadings {
	readonly count: number;
	readonly xMm: Float64Array;
	readonly yMm: Float64Array;
	readonly value: Float64Array;
}

/** Knots along the longer side: fine enough for a hand's or a phone's soft shadow edge, some 12 mm on the A5 mat. */
const KNOTS = 18;

/**
 * Pull of the smoothness term, in readings: a knot bent against its neighbours costs as much as this many spots off by as
 * much. Some 25 spots lie around a knot, so bare paper is followed and gaps are bridged. Chosen by eye, bounded by
 * tests/colour/correctLight.test.ts.
 */
const STIFFNESS = 4;

/** Value of the map at a place; the rim is carried outwards. */
export function gridAt({ leftMm, topMm, pitchMm, columns, rows, log }: ShadowGrid, xMm: number, yMm: number): number {
	const u = within((xMm - leftMm) / pitchMm, columns - 1);
	const v = within((yMm - topMm) / pitchMm, rows - 1);
	const column = Math.min(Math.floor(u), columns - 2);
	const row = Math.min(Math.floor(v), rows - 2);
	const fx = u - column;
	const fy = v - row;
	const at = row * columns + column;
	return (
		(1 - fy) * ((1 - fx) * log[at]! + fx * log[at + 1]!) +
		fy * ((1 - fx) * log[at + columns]! + fx * log[at + columns + 1]!)
	);
}

/**
 * Penalised least squares: close to the readings, and bent as little as they allow (squared second differences).
 *
 * @source P. Eilers, B. Marx, Flexible smoothing with B-splines and penalties, Statistical Science 11(2), 1996, here with
 *   first-degree splines on a plane (from memory)
 */
export function fitGrid({ count, xMm, yMm, value }: GridReadings): ShadowGrid {
	const [left, right] = extent(xMm, count);
	const [top, bottom] = extent(yMm, count);
	const pitchMm = Math.max(right - left, bottom - top, 1) / (KNOTS - 1);
	const columns = Math.max(3, Math.ceil((right - left) / pitchMm) + 1);
	const rows = Math.max(3, Math.ceil((bottom - top) / pitchMm) + 1);
	// knots are bound to neighbours at most two rows on
	const system = new BandedSystem(columns * rows, 2 * columns);
	for (let from = 0; from < count; from += AT_ONCE)
		addReadings(system, xMm, yMm, value, left, top, pitchMm, columns, rows, from, Math.min(count, from + AT_ONCE));
	for (let row = 0; row < rows; row++) {
		for (let column = 0; column < columns; column++) {
			const at = row * columns + column;
			if (column > 0 && column < columns - 1) system.addBend(at - 1, 1, STIFFNESS);
			if (row > 0 && row < rows - 1) system.addBend(at - columns, columns, STIFFNESS);
			system.addPull(at, 1e-3); // towards the low-order surface where nothing is known
		}
	}
	// property by property, as surfaces are (photo/surface.ts)
	return { leftMm: left, topMm: top, pitchMm, columns, rows, log: Array.from(system.solved()) };
}

/** Readings gone over in one go: a function entered often is compiled once and for all. */
const AT_ONCE = 256;

/** Adds the readings from one to another (not included); cells as in `gridAt`. */
function addReadings(
	system: BandedSystem,
	xMm: Float64Array,
	yMm: Float64Array,
	value: Float64Array,
	left: number,
	top: number,
	pitchMm: number,
	columns: number,
	rows: number,
	from: number,
	to: number,
): void {
	// Hot loop.
	for (let i = from; i < to; i++) {
		const u = within((xMm[i]! - left) / pitchMm, columns - 1);
		const v = within((yMm[i]! - top) / pitchMm, rows - 1);
		const column = Math.min(Math.floor(u), columns - 2);
		const row = Math.min(Math.floor(v), rows - 2);
		const fx = u - column;
		const fy = v - row;
		const at = row * columns + column;
		system.addCell(at, columns, (1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy, value[i]!);
	}
}

/**
 * A symmetric positive definite system whose unknowns are bound only to near ones: solving takes size x reach^2 steps, where a
 * full matrix takes size^3.
 *
 * @source Cholesky decomposition within a band: G. Golub, C. Van Loan, Matrix Computations, 4.3 (from memory)
 */
class BandedSystem {
	readonly right: Float64Array;
	/** Lower triangle by rows: entry (i, i - reach + k) at i x (reach + 1) + k. */
	private readonly band: Float64Array;
	constructor(
		private readonly size: number,
		private readonly reach: number,
	) {
		this.right = new Float64Array(size);
		this.band = new Float64Array(size * (reach + 1));
	}

	/** So many times the square of one unknown. */
	addPull(at: number, times: number): void {
		this.band[this.place(at, at)]! += times;
	}

	/** So many times the square of the second difference of three unknowns, `step` apart. */
	addBend(first: number, step: number, times: number): void {
		const { band } = this;
		const [middle, last] = [first + step, first + 2 * step];
		band[this.place(first, first)]! += times;
		band[this.place(middle, first)]! -= 2 * times;
		band[this.place(middle, middle)]! += 4 * times;
		band[this.place(last, first)]! += times;
		band[this.place(last, middle)]! -= 2 * times;
		band[this.place(last, last)]! += times;
	}

	/** The square of a weighted sum of four knots, two and two beside each other, less a value. */
	addCell(at: number, columns: number, a: number, b: number, c: number, d: number, value: number): void {
		const { band, right } = this;
		const below = at + columns;
		band[this.place(at, at)]! += a * a;
		band[this.place(at + 1, at)]! += b * a;
		band[this.place(at + 1, at + 1)]! += b * b;
		band[this.place(below, at)]! += c * a;
		band[this.place(below, at + 1)]! += c * b;
		band[this.place(below, below)]! += c * c;
		band[this.place(below + 1, at)]! += d * a;
		band[this.place(below + 1, at + 1)]! += d * b;
		band[this.place(below + 1, below)]! += d * c;
		band[this.place(below + 1, below + 1)]! += d * d;
		right[at]! += a * value;
		right[at + 1]! += b * value;
		right[below]! += c * value;
		right[below + 1]! += d * value;
	}

	/** Solves in place: the system is used up. */
	solved(): Float64Array {
		const { band, right, size, reach } = this;
		for (let i = 0; i < size; i++) this.solveRow(i);
		for (let i = size - 1; i >= 0; i--) {
			let sum = right[i]!;
			for (let k = i + 1; k <= Math.min(size - 1, i + reach); k++) sum -= band[this.rowStart(k) + i]! * right[k]!;
			right[i] = sum / band[this.rowStart(i) + i]!;
		}
		return right;
	}

	/** One row of the lower triangle, and the right side so far. Hot loop. */
	private solveRow(i: number): void {
		const { band, right, reach } = this;
		const first = Math.max(0, i - reach);
		const own = this.rowStart(i);
		for (let j = first; j <= i; j++) {
			const other = this.rowStart(j);
			let sum = band[own + j]!;
			for (let k = Math.max(first, j - reach); k < j; k++) sum -= band[own + k]! * band[other + k]!;
			band[own + j] = j < i ? sum / band[other + j]! : Math.sqrt(sum);
		}
		let sum = right[i]!;
		for (let k = first; k < i; k++) sum -= band[own + k]! * right[k]!;
		right[i] = sum / band[own + i]!;
	}

	/** Entry (i, j) of the band stands at `rowStart(i) + j`. */
	private rowStart(i: number): number {
		return i * this.reach + this.reach;
	}

	private place(i: number, j: number): number {
		return i * (this.reach + 1) + j - i + this.reach;
	}
}

/** The number, held between 0 and the most. */
function within(value: number, most: number): number {
	return Math.min(Math.max(value, 0), most);
}

function extent(values: Float64Array, count: number): [number, number] {
	let low = Number.POSITIVE_INFINITY;
	let high = Number.NEGATIVE_INFINITY;
	for (let i = 0; i < count; i++) {
		low = Math.min(low, values[i]!);
		high = Math.max(high, values[i]!);
	}
	return [low, high];
}

import { joinRuns, type Runs, runsOf } from './labelRuns';

/** Fewest pixels that a lens and a colour filter array resolve as a spot of their own: some two by two. */
const LEAST_PIXELS = 4;

/**
 * Give specks smaller than the optics resolve, and patches of lost colour, the class around them.
 *
 * A shiny spot inside a piece belongs to the piece; one between pieces of several classes stays unjudged, and so does a
 * large one. A speck goes to the label that most of its border touches.
 *
 * @param labels - class codes, height x width; not changed
 * @param inside - 1 in the field; other pixels are left out and stay as they are
 * @param unjudged - the code of lost colour
 * @param mostGlintPx - largest patch of lost colour that may take the class around it, pixels
 * @returns cleaned class codes
 */
export function cleanUp(
	labels: Uint8Array,
	inside: Uint8Array,
	width: number,
	height: number,
	unjudged: number,
	mostGlintPx: number,
): Uint8Array {
	const runs = runsOf(labels, width, height, inside);
	const { count, region } = joinRuns(runs);
	const size = new Uint32Array(count + 1);
	const label = new Uint8Array(count + 1);
	for (let row = 0; row < height; row++) sizeRow(runs, region, row, size, label);
	const wanted = new Uint8Array(count + 1);
	for (let id = 1; id <= count; id++)
		if (size[id]! < LEAST_PIXELS || (label[id] === unjudged && size[id]! <= mostGlintPx)) wanted[id] = 1;
	const touches = new Touches(runs, region, wanted, labels, inside);
	for (let row = 0; row < height; row++) touches.countRow(row);
	const becomes = label.slice();
	for (const [id, counted] of touches.counted) becomes[id] = choose(counted, label[id]!, unjudged);
	const out = labels.slice();
	for (let row = 0; row < height; row++) fillRow(runs, region, row, wanted, becomes, out);
	return out;
}

// rows in functions of their own: a loop over all runs would be compiled anew for each photo

/** Add the sizes of a row's runs to their regions', whose label they tell. */
function sizeRow(
	{ firstOfRow, start, end, label: kind }: Runs,
	region: Int32Array,
	row: number,
	size: Uint32Array,
	label: Uint8Array,
): void {
	for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
		size[region[run]!]! += end[run]! - start[run]!;
		label[region[run]!] = kind[run]!;
	}
}

/** Label the wanted ones among a row's runs. */
function fillRow(
	{ firstOfRow, start, end }: Runs,
	region: Int32Array,
	row: number,
	wanted: Uint8Array,
	becomes: Uint8Array,
	out: Uint8Array,
): void {
	for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++)
		if (wanted[region[run]!] === 1) out.fill(becomes[region[run]!]!, start[run]!, end[run]!);
}

/** Share of the border that one class must hold for a patch of lost colour to take it. */
const SURROUNDED = 2 / 3;

/** For the wanted regions, how often their pixels touch each other label by a side. */
class Touches {
	readonly counted = new Map<number, Map<number, number>>();
	constructor(
		private readonly runs: Runs,
		private readonly region: Int32Array,
		private readonly wanted: Uint8Array,
		private readonly labels: Uint8Array,
		private readonly inside: Uint8Array,
	) {}
	countRow(row: number): void {
		const { firstOfRow, start, end, label, width } = this.runs;
		for (let run = firstOfRow[row]!; run < firstOfRow[row + 1]!; run++) {
			const id = this.region[run]!;
			if (this.wanted[id] === 0) continue;
			const counted = this.counted.get(id) ?? new Map<number, number>();
			this.counted.set(id, counted);
			const own = label[run]!;
			for (let i = start[run]!; i < end[run]!; i++) {
				const column = i - row * width;
				if (column > 0) this.count(i - 1, own, counted);
				if (column < width - 1) this.count(i + 1, own, counted);
				this.count(i - width, own, counted);
				this.count(i + width, own, counted);
			}
		}
	}
	private count(at: number, own: number, counted: Map<number, number>): void {
		const { labels, inside } = this;
		// side neighbours of one label are of one region
		if (at < 0 || at >= labels.length || inside[at] === 0 || labels[at] === own) return;
		counted.set(labels[at]!, (counted.get(labels[at]!) ?? 0) + 1);
	}
}

/** The label that most of the border touches; for lost colour only where it surrounds the patch. */
function choose(counted: ReadonlyMap<number, number>, own: number, unjudged: number): number {
	let best = own;
	let most = 0;
	let all = 0;
	for (const [label, touched] of counted) {
		all += touched;
		if (label !== unjudged && touched > most) {
			best = label;
			most = touched;
		}
	}
	if (own === unjudged && most < SURROUNDED * all) return own;
	return best;
}

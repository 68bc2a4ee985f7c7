import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { shareOfLikeliest, shareOfUnsure } from './areaRule';
import type { AreaTiles } from './classMap';
import type { FieldBox } from './fieldBox';

/** Background and the material classes, in the order of the class codes. */
const CLASSES = MATERIAL_CLASSES.length + 1;
const COPPER = CLASS_CODE.brightCopper;
/** Side of the squares that areas are summed over, px: far smaller than the blocks of the field they go to. */
const TILE_PX = 16;
/**
 * A pixel whose called class is less likely than this, the prior taken back as far as it is for the call, stays unjudged. Chosen
 * by eye: with six classes, about even between two and a rest.
 */
const LEAST_CONFIDENCE = 0.4;

/**
 * A pixel called bright copper stays unjudged where insulation is more than this part as likely: copper is believed from four to
 * one, since wrong copper costs the user money; along edges and on browns neither is sure. A round bound, one of
 * three looked at on the card's twenty whole trays.
 */
const MOST_RIVAL = 0.25;

/** How the model's rows lie on the class map, and what they are weighed by. */
interface Sight {
	readonly favour: Favour;
	/** Rows and columns of the whole box at the model's scale. */
	readonly down: Across;
	readonly across: Across;
}

/** Rows or columns of the box at the model's scale, and which of them pixel k of the class map lies at: `start + step * k`. */
export interface Across {
	readonly count: number;
	readonly start: number;
	readonly step: number;
}

/** Factors on the classes' probabilities before the likeliest is called. */
export interface Favour {
	readonly factors: readonly number[];
	/** From this probability of bare surface on nothing else can be called, and not be unsure either. */
	readonly surelyBare: number;
}

/** Factors with what follows of them: the rest of the probability may all lie with the most favoured class. */
export function favourOf(factors: readonly number[]): Favour {
	const bare = factors[BACKGROUND]!;
	const most = Math.max(...factors);
	let surelyBare = 0.5;
	while (surelyBare < 1) {
		const called = surelyBare * bare;
		const rival = (1 - surelyBare) * most;
		if (called > rival && called * surelyBare >= LEAST_CONFIDENCE * (called + rival)) break;
		surelyBare += 0.01;
	}
	return { factors, surelyBare };
}

/** What is filled in: classes and covered share (0 to 255) of the box's pixels, and sums of areas. */
export interface Called {
	readonly labels: Uint8Array;
	readonly covered: Uint8Array;
	readonly tally: Tally;
}

/** Pixels by likeliest class and summed probabilities, over squares of the box; and the sums over pixels that are sure of no class. */
export class Tally {
	private readonly across: number;
	private readonly down: number;
	private readonly likeliest: Float64Array;
	private readonly summed: Float64Array;
	private readonly unsure: Float64Array;
	constructor(width: number, height: number) {
		this.across = Math.ceil(width / TILE_PX);
		this.down = Math.ceil(height / TILE_PX);
		this.likeliest = new Float64Array(this.across * this.down * CLASSES);
		this.summed = new Float64Array(this.likeliest.length);
		this.unsure = new Float64Array(this.likeliest.length);
	}
	/** Where the sums of the square of a pixel stand. */
	placeOf(column: number, row: number): number {
		return (Math.floor(row / TILE_PX) * this.across + Math.floor(column / TILE_PX)) * CLASSES;
	}
	add(place: number, counts: ArrayLike<number>, sums: ArrayLike<number>): void {
		for (let c = 0; c < CLASSES; c++) {
			this.likeliest[place + c]! += counts[c]!;
			this.summed[place + c]! += sums[c]!;
		}
	}
	addUnsure(place: number, a: number, b: number, c: number, d: number, e: number, f: number): void {
		const { unsure } = this;
		unsure[place]! += a;
		unsure[place + 1]! += b;
		unsure[place + 2]! += c;
		unsure[place + 3]! += d;
		unsure[place + 4]! += e;
		unsure[place + 5]! += f;
	}
	areas(): AreaTiles {
		const whole = new Float64Array(CLASSES);
		for (let i = 0; i < this.likeliest.length; i++) whole[i % CLASSES]! += this.likeliest[i]!;
		const of = shareOfLikeliest(whole);
		const px = Float32Array.from(
			this.likeliest,
			(many, i) => many * of[i % CLASSES]! + this.summed[i]! * (1 - of[i % CLASSES]!),
		);
		const unsurePx = Float32Array.from(this.unsure, (sum, i) => sum * shareOfUnsure(of[i % CLASSES]!, i % CLASSES));
		return { tilePx: TILE_PX, across: this.across, down: this.down, px, unsurePx };
	}
}

/**
 * Interpolate probabilities at the pixels of the class map's box and call the likeliest class.
 *
 * @returns takes the model's rows one after the other from the top, each of CLASSES numbers a pixel, and fills in the map's rows that lie before it
 */
export function callClasses(sight: Sight, box: FieldBox, called: Called): (row: number, shares: Float32Array) => void {
	const { count: rows, start, step } = sight.down;
	const places = placesAcross(sight, box);
	const numbers = CLASSES * sight.across.count;
	const before = new Float32Array(numbers);
	const line = new Float64Array(numbers);
	let next = 0;
	return (modelRow, shares) => {
		for (; next < box.height; next++) {
			const place = Math.min(rows - 1, Math.max(0, start + step * next));
			const low = Math.floor(place);
			const high = Math.min(rows - 1, low + 1);
			if (high > modelRow) break;
			const base = next * box.width;
			// the field is convex: a row's pixels inside follow one another
			const first = box.inside.subarray(base, base + box.width).indexOf(1);
			if (first < 0) continue;
			const end = box.inside.lastIndexOf(1, base + box.width - 1) - base + 1;
			const upper = low === modelRow ? shares : before;
			const part = place - low;
			// Hot loop.
			for (let i = places.low[first]!, to = places.high[end - 1]! + CLASSES; i < to; i++)
				line[i] = upper[i]! + part * (shares[i]! - upper[i]!);
			callRow(line, places, sight.favour, { row: next, width: box.width, first, end }, called);
		}
		before.set(shares.subarray(0, numbers));
	};
}

/** Where the map's columns lie among a line's numbers: the classes of the grid points about each, and how far it is to the upper. */
interface Places {
	readonly low: Int32Array;
	readonly high: Int32Array;
	readonly part: Float64Array;
}

function placesAcross({ across: { count, start, step } }: Sight, { width }: FieldBox): Places {
	const places = { low: new Int32Array(width), high: new Int32Array(width), part: new Float64Array(width) };
	for (let column = 0; column < width; column++) {
		const place = Math.min(count - 1, Math.max(0, start + step * column));
		const low = Math.floor(place);
		places.low[column] = CLASSES * low;
		places.high[column] = CLASSES * Math.min(count - 1, low + 1);
		places.part[column] = place - low;
	}
	return places;
}

/** One row of the box, columns `first` to `end` (not included). */
interface Row {
	readonly row: number;
	readonly width: number;
	readonly first: number;
	readonly end: number;
}

function callRow(
	line: Float64Array,
	{ low, high, part }: Places,
	favour: Favour,
	{ row, width, first, end }: Row,
	{ labels, covered, tally }: Called,
): void {
	const [fa = 1, fb = 1, fc = 1, fd = 1, fe = 1, ff = 1] = favour.factors;
	const counts = new Float64Array(CLASSES);
	// Hot loop, six classes written out: in an inner loop they take twice as long.
	for (let column = first; column < end; ) {
		const square = tally.placeOf(column, row);
		const to = Math.min(end, (Math.floor(column / TILE_PX) + 1) * TILE_PX);
		let [sa, sb, sc, sd, se, sf] = [0, 0, 0, 0, 0, 0];
		counts.fill(0);
		for (; column < to; column++) {
			const i = row * width + column;
			const l = low[column]!;
			const h = high[column]!;
			const t = part[column]!;
			const a = line[l]! + t * (line[h]! - line[l]!);
			const b = line[l + 1]! + t * (line[h + 1]! - line[l + 1]!);
			const c = line[l + 2]! + t * (line[h + 2]! - line[l + 2]!);
			const d = line[l + 3]! + t * (line[h + 3]! - line[l + 3]!);
			const e = line[l + 4]! + t * (line[h + 4]! - line[l + 4]!);
			const f = line[l + 5]! + t * (line[h + 5]! - line[l + 5]!);
			covered[i] = Math.min(1, Math.max(0, 1 - a)) * 255 + 0.5;
			let likeliest = BACKGROUND;
			if (a < favour.surelyBare) {
				let best = BACKGROUND;
				let most = a * fa;
				let largest = a;
				let next = b * fb;
				let all = most + next;
				if (next > most) [best, most] = [1, next];
				if (b > largest) [likeliest, largest] = [1, b];
				next = c * fc;
				all += next;
				if (next > most) [best, most] = [2, next];
				if (c > largest) [likeliest, largest] = [2, c];
				next = d * fd;
				all += next;
				if (next > most) [best, most] = [3, next];
				if (d > largest) [likeliest, largest] = [3, d];
				next = e * fe;
				all += next;
				if (next > most) [best, most] = [4, next];
				if (e > largest) [likeliest, largest] = [4, e];
				next = f * ff;
				all += next;
				if (next > most) [best, most] = [5, next];
				if (f > largest) likeliest = 5;
				const isSure = most * (a + b + c + d + e + f) >= LEAST_CONFIDENCE * all;
				labels[i] = isSure && !(best === COPPER && e > MOST_RIVAL * b) ? best : UNJUDGED;
				// a copper that insulation rivals is no label to rely on, yet left out it would pull the areas from copper
				if (!isSure) {
					tally.addUnsure(square, a, b, c, d, e, f);
					continue;
				}
			}
			counts[likeliest]!++;
			sa += a;
			sb += b;
			sc += c;
			sd += d;
			se += e;
			sf += f;
		}
		tally.add(square, counts, [sa, sb, sc, sd, se, sf]);
	}
}

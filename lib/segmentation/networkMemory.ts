import type { Packed } from './networkWeights';

/**
 * The latest rows of a picture of several channels, in a ring: row r lies at place r modulo `rows`. The row before the first place
 * repeats the last place's and the row behind the last repeats the first's, so that six rows which follow one another can be
 * read across the seam. Left and right lies a rim of zeros. Addresses and steps in bytes.
 */
export class Band {
	readonly pixelStep: number;
	readonly rowStep: number;
	/** Rows kept, a multiple of four; set by `layOut`. */
	rows = 0;
	/** Of the first pixel of the first place; set by `layOut`. */
	at = 0;
	constructor(
		readonly width: number,
		readonly height: number,
		readonly channels: number,
	) {
		this.pixelStep = 4 * channels;
		this.rowStep = (fours(width) + 2) * this.pixelStep;
	}
	/** Address of a row's first pixel; rows above the picture's first lie before it. */
	rowAt(row: number): number {
		return this.at + (row % this.rows) * this.rowStep;
	}
	bytes(): number {
		return (this.rows + 2) * this.rowStep;
	}
}

/** What stands in a band once some layer has written it; several layers may follow one another on one band. */
export interface Plane {
	readonly band: Band;
	/** Rows written. */
	done: number;
}

/** All planes of the network for pictures of one size. Names as in models/network.py. */
export function planesOf(width: number, height: number, { layers }: Pick<Packed, 'layers'>) {
	const channelsOf = (name: string) => layers.get(name)?.outputs ?? 0;
	const plane = (halvings: number, channels: number): Plane => ({
		band: new Band(width >> halvings, height >> halvings, channels),
		done: 0,
	});
	const later = ({ band }: Plane): Plane => ({ band, done: 0 });
	const [a, b, c, d] = ['e0a', 'd1', 'd2', 'd3'].map(channelsOf) as [number, number, number, number];
	const [t1, t3, p2, p1] = [plane(1, b), plane(3, d), plane(2, c), plane(1, b)];
	const q1 = later(p1);
	const x3 = later(t3);
	const x4 = later(t3);
	return {
		picture: plane(0, 4),
		full: plane(0, a),
		fine: plane(0, a),
		t1,
		h1: plane(1, b),
		x1: later(t1),
		s2: plane(2, c),
		x2: plane(2, c),
		t3,
		h3: plane(3, d),
		x3,
		h4: plane(3, d),
		x4,
		h5: plane(3, d),
		x5: later(t3),
		u2: plane(3, c),
		p2,
		y2: later(p2),
		z2: plane(2, c),
		u1: plane(2, b),
		p1,
		q1,
		g1: plane(1, b),
		y1: later(p1),
		u0: plane(1, a),
		coarse: plane(0, a),
		f0: plane(0, channelsOf('f0a')),
		features: plane(0, channelsOf('features')),
		scores: plane(0, channelsOf('classes')),
	};
}

export type Planes = ReturnType<typeof planesOf>;

/** Where transforms and products lie while a layer is worked out. */
export interface Scratch {
	readonly spread: number;
	/** The same in 16 bits, and the rows' scales. */
	readonly short: number;
	readonly scales: number;
	readonly products: number;
}

/** Tiles of 4 x 4 pixels worked on at once: their transforms and products, some 0.6 MB, stay in a processor's second cache. Measured. */
export const TILES_AT_ONCE = 24;

/** Give every band its place behind the weights, and say where scratch lies and how many bytes there are in all. */
export function layOut(bands: Iterable<Band>, width: number, packed: Packed): Scratch & { bytes: number } {
	let bytes = packed.bytes;
	for (const band of bands) {
		band.at = bytes + band.rowStep + band.pixelStep;
		bytes += 16 * Math.ceil(band.bytes() / 16);
	}
	return scratchAfter(bytes, width, packed);
}

/** Scratch for one thread from a place in the memory on, and where it ends. */
export function scratchAfter(from: number, width: number, { layers }: Packed): Scratch & { bytes: number } {
	let bytes = from;
	const take = (size: number) => {
		const at = bytes;
		bytes += 16 * Math.ceil(size / 16);
		return at;
	};
	const widest = Math.max(...Array.from(layers.values(), ({ inputs, outputs }) => Math.max(inputs, outputs)));
	const scratch = 4 * widest * Math.max(36 * TILES_AT_ONCE, width + 4);
	return {
		spread: take(scratch),
		short: take(scratch / 2),
		scales: take(4 * Math.max(36 * TILES_AT_ONCE, width + 4)),
		products: take(scratch),
		bytes,
	};
}

function fours(count: number): number {
	return 4 * Math.ceil(count / 4);
}

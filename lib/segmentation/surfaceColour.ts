import { cielabOf, linearOfCielab } from '../colour/cielab';
import type { ColourPatch } from '../material/material';
import type { CellCounts } from './cells';

/** Bin width of the search for the commonest colour, CIELAB units, and bins per axis: enough for -200 to 200. */
const BIN = 4;
const BINS = 101;
const HALF_BINS = 50;

type Triple = [number, number, number];

/** Colours this near the commonest one are averaged to the surface's colour. */
const NEAR = 8;
/** The mat is white paper: its colour is looked for above this lightness. */
const PAPER_LIGHTNESS = 70;

/** Tints of light, relative to the light in the open. */
const SAME: Triple = [1, 1, 1];
/** Blue sky beside sun and sky together: daylight of some 12 000 K beside 6000 K (CIE daylight locus, rounded). */
const SKY: Triple = [0.82, 0.96, 1.35];

/**
 * How much light still reaches the bare surface and of what tint, from open to the core of a shadow, and how often. Diffuse
 * light falls off gradually near pieces; a shadow cast by the sun keeps the sky's share of the light, which is blue. Wide
 * on purpose; the shares are only where the fit to the photo starts.
 */
const SHADES = [
	{ light: 1, tint: SAME, share: 0.52, spreadL: 4 },
	{ light: 0.8, tint: SAME, share: 0.14, spreadL: 5 },
	{ light: 0.62, tint: SAME, share: 0.12, spreadL: 6 },
	{ light: 0.45, tint: SAME, share: 0.08, spreadL: 7 },
	{ light: 0.3, tint: SAME, share: 0.06, spreadL: 8 },
	{ light: 0.25, tint: SKY, share: 0.04, spreadL: 7 },
	{ light: 0.12, tint: SKY, share: 0.04, spreadL: 7 },
] as const;
/** Scatter of a* and b* of a bare surface: grain, noise, mirrored surroundings. */
const SPREAD_A = 3;
const SPREAD_B = 4;

/** A colour of the material or the surface with how common it is, as a share of its class. */
export type SharedPatch = ColourPatch & { readonly share: number };

/**
 * The bare surface's colours on this photo: its commonest colour, in the open and in shadow.
 *
 * Learnt from the photo itself, so that a tray of any colour will do: a bare surface is even, so it heaps up in one place
 * while pieces scatter. Shadows keep the surface's hue and lose light, or keep the sky's light alone.
 * Limit: where pieces hide more than some three quarters of the surface, the commonest colour may be theirs.
 *
 * @param kind - a mat is looked for among light colours only
 * @returns none where no pixel can be the surface
 */
export function surfacePatches(cells: CellCounts, kind: 'mat' | 'tray'): SharedPatch[] {
	const least = kind === 'mat' ? PAPER_LIGHTNESS : 0;
	const heaps = new Heaps();
	for (let from = 0; from < cells.used.length; from += AT_ONCE)
		heaps.add(cells.used, cells.cielab, cells.count, from, Math.min(cells.used.length, from + AT_ONCE), least);
	const { key } = heaps;
	if (key === undefined) return [];
	const [L, a, b] = [key / BINS ** 2, (key / BINS) % BINS, key % BINS].map(
		(bin) => (Math.floor(bin) - HALF_BINS) * BIN,
	) as Triple;
	const centre = meanNear(cells, L, a, b);
	const [red, green, blue] = linearOfCielab(centre);
	return SHADES.map(({ light, tint, share, spreadL }) => ({
		name: `surface in ${light} of the light`,
		centre: cielabOf(red * light * tint[0], green * light * tint[1], blue * light * tint[2]),
		covariance: [spreadL ** 2, 0, 0, SPREAD_A ** 2, 0, SPREAD_B ** 2],
		share,
	}));
}

/** Cells gone over in one go: a function entered often is compiled once and for all. */
const AT_ONCE = 1024;

/** Pixels by bins of colour, and the fullest bin. */
class Heaps {
	key: number | undefined;
	private most = -1;
	private readonly counts = new Map<number, number>();
	/** Count the used cells from one to another (not included) that are light enough. */
	add(
		used: Int32Array,
		cielab: Float64Array,
		pixels: Uint32Array,
		from: number,
		to: number,
		leastLightness: number,
	): void {
		for (let k = from; k < to; k++) {
			if (cielab[3 * k]! < leastLightness) continue;
			const key = (binOf(cielab[3 * k]!) * BINS + binOf(cielab[3 * k + 1]!)) * BINS + binOf(cielab[3 * k + 2]!);
			const count = (this.counts.get(key) ?? 0) + pixels[used[k]!]!;
			this.counts.set(key, count);
			if (count <= this.most) continue;
			this.most = count;
			this.key = key;
		}
	}
}

function binOf(value: number): number {
	return Math.round(value / BIN) + HALF_BINS;
}

function meanNear(
	{ used, cielab, count }: CellCounts,
	L: number,
	a: number,
	b: number,
): { L: number; a: number; b: number } {
	const sum = { L: 0, a: 0, b: 0, n: 0 };
	for (let k = 0; k < used.length; k++) {
		const l = cielab[3 * k]!;
		const p = cielab[3 * k + 1]!;
		const q = cielab[3 * k + 2]!;
		if ((l - L) ** 2 + (p - a) ** 2 + (q - b) ** 2 > NEAR ** 2) continue;
		const n = count[used[k]!]!;
		sum.L += n * l;
		sum.a += n * p;
		sum.b += n * q;
		sum.n += n;
	}
	return sum.n === 0 ? { L, a, b } : { L: sum.L / sum.n, a: sum.a / sum.n, b: sum.b / sum.n };
}

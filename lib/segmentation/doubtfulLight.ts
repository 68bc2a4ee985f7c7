import { CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import type { Across } from './callClasses';
import { type ClassMap, relabelled } from './classMap';
import type { Light } from './light';

type Gains = readonly [number, number, number];

/**
 * How far off a phone's white balance may be where nothing on the photo tells: a fifth in red and blue, either way, as between
 * daylight and a lamp half taken out. Chosen by eye; wider leaves ever more unjudged.
 */
export const OTHER_LIGHTS: readonly Gains[] = [
	[0.8, 1, 1.25],
	[1.25, 1, 0.8],
];

/** The light with other gains per channel on top. */
export function underGains({ tables, ...rest }: Light, gains: Gains): Light {
	const scaled = (c: 0 | 1 | 2) => tables[c].map((value) => value * gains[c]);
	return { ...rest, tables: [scaled(0), scaled(1), scaled(2)] };
}

/** Whether one light makes copper of what another makes insulation: then colour cannot say which, and the pixel is not judged. */
export function isTorn(one: number, other: number): boolean {
	return (
		(one === CLASS_CODE.brightCopper && other === CLASS_CODE.insulation) ||
		(one === CLASS_CODE.insulation && other === CLASS_CODE.brightCopper)
	);
}

/** The map with those pixels not judged on which the others, read in other lights, disagree between copper and insulation. */
export function leaveTornOut(map: ClassMap, others: readonly ClassMap[]): ClassMap {
	if (others.length === 0) return map;
	const labels = map.labels.map((own, i) => (others.some((other) => isTorn(own, other.labels[i]!)) ? UNJUDGED : own));
	return relabelled(map, labels);
}

/** Background and the material classes, in the order of the class codes. */
const CLASSES = MATERIAL_CLASSES.length + 1;

/**
 * In a light that nothing tells, insulation is believed from four to one over all metals together: the same odds that copper is believed
 * from over insulation (`MOST_RIVAL` of callClasses.ts), asked for in each likely light.
 */
const MOST_METAL = 0.25;

/**
 * Mark a row's pixels where metal comes too near to insulation for insulation to be believed.
 *
 * @param shares - six probabilities a pixel, in the order of the class codes
 * @param favour - factors on them before the likeliest is called
 * @param marks - what is marked gets metal's part of metal and insulation, of 255, unless more stands there already
 */
export function markRivalled(shares: Float32Array, favour: readonly number[], marks: Uint8Array): void {
	const { brightCopper, tinnedCopper, aluminium, insulation } = CLASS_CODE;
	const at = (pixel: number, code: number) => shares[CLASSES * pixel + code]! * favour[code]!;
	for (let pixel = 0; CLASSES * pixel < shares.length; pixel++) {
		const metal = at(pixel, brightCopper) + at(pixel, tinnedCopper) + at(pixel, aluminium);
		const plastic = at(pixel, insulation);
		if (metal > MOST_METAL * plastic)
			marks[pixel] = Math.max(marks[pixel]!, Math.round((255 * metal) / (metal + plastic)));
	}
}

/**
 * The marks of the model's picture on a class map's pixels: each takes that of the nearest.
 *
 * @param marks - of the model's picture, `markedWidth` pixels wide
 * @param sight - how the two lie on each other
 */
export function marksOnMap(
	{ width, height }: Pick<ClassMap, 'width' | 'height'>,
	marks: Uint8Array,
	markedWidth: number,
	{ down, across }: { readonly down: Across; readonly across: Across },
): Uint8Array {
	const nearest = ({ count, start, step }: Across, k: number) =>
		Math.min(count - 1, Math.max(0, Math.round(start + step * k)));
	const columns = Int32Array.from({ length: width }, (_, column) => nearest(across, column));
	const out = new Uint8Array(width * height);
	for (let row = 0, i = 0; row < height; row++) {
		const from = nearest(down, row) * markedWidth;
		for (let column = 0; column < width; column++) out[i++] = marks[from + columns[column]!]!;
	}
	return out;
}

/** Metal's part, of 255, at pixels that are called insulation though metal rivals it, else 0; undefined where the light is known. */
export function rivalledInsulation({ labels, rivalled }: ClassMap): Uint8Array | undefined {
	return rivalled?.map((part, i) => (labels[i] === CLASS_CODE.insulation ? part : 0));
}

/**
 * The map as it is shown: insulation that metal rivals is not judged.
 *
 * Pieces are measured before, since holes in them would make them narrow, and areas stay as they are: they rest on summed probabilities, the best
 * guess of how much there is where single pixels can't be told. Metal's part of what is left out here adds to the area not judged (readSpread.ts).
 */
export function leaveRivalledOut(map: ClassMap): ClassMap {
	const rivalled = rivalledInsulation(map);
	if (rivalled === undefined) return map;
	return relabelled(
		map,
		map.labels.map((label, i) => (rivalled[i]! > 0 ? UNJUDGED : label)),
	);
}

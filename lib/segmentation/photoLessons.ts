import { TrayError } from '../errors/TrayError';
import { BACKGROUND, CLASS_CODE } from '../material/classes';
import { ellipsoidOf, squaredDistance } from '../material/ellipsoid';
import type { Material } from '../material/material';
import { robustPatch } from '../material/robustPatch';
import { type LabColour, MOST_COLOURS, type TaughtSpot } from '../material/taughtSpot';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { type Cells, cellsOf } from './cells';
import { fieldBoxOf } from './fieldBox';
import type { Light } from './light';
import { colourTable } from './segmentByThreshold';

/** What a photo of clean insulation teaches. */
export interface BlankLesson {
	/** One lesson for each colour that it comes in. */
	readonly spots: readonly TaughtSpot[];
	/** Share of the pieces' pixels that the material as it was calls bright copper: all of it false. */
	readonly calledCopperFraction: number;
}

/** Colours this near each other, CIELAB units, are one heap. */
const HEAP_RADIUS = 12;
/** A heap must hold this share of the pixels to be a colour of its own. */
const LEAST_HEAP = 0.02;
const MOST_HEAPS = 10;
/** Colours of an empty tray: its own, in shade, in a hand's shadow. */
const MOST_SURFACE_HEAPS = 4;
/** An empty tray's heaps hold at least this share of the field; pieces scatter. Bounded by tests/segmentation/photoLessons.test.ts. */
const EMPTY_SHARE = 0.93;
/** Fewer pixels than this share of the field are no pieces but dirt. */
const LEAST_PIECES = 0.02;
/** A heap's shade counts as the heap: lightness is believed this many times less than hue. */
const SHADE = 3;

/**
 * What a photo of an empty tray or mat teaches about the bare surface: its colours, in the open and in shade.
 *
 * @param photo - the photo's identifier, kept with the lessons
 * @throws TrayError `not-empty` when pieces lie on it
 */
export function learnSurface(raster: Raster, surface: Surface, light: Light, photo: string): TaughtSpot[] {
	const cells = cellsOf(raster, surface, light, fieldBoxOf(raster, surface));
	const heaps = heapsOf(cells, () => true, MOST_SURFACE_HEAPS);
	const main = heaps[0];
	const bare = heaps.filter((heap) => main !== undefined && isShadeOf(heap.colours, main.colours));
	if (bare.reduce((sum, heap) => sum + heap.share, 0) < EMPTY_SHARE) {
		throw new TrayError(
			'not-empty',
			'The photo does not show an empty surface: more than one colour lies in the field.',
			'Clear the tray, wipe it, and take the photo again; its corners must lie on the tray.',
		);
	}
	return lessons('background', bare, photo);
}

/**
 * What a photo of clean insulation, no metal among it, teaches: the colours that insulation comes in.
 *
 * @param material - tells the bare surface from pieces, and is what would have called some of it copper
 * @throws TrayError `nothing-spread` when no pieces lie in the field
 */
export function learnBlank(
	raster: Raster,
	surface: Surface,
	light: Light,
	material: Material,
	photo: string,
): BlankLesson {
	const cells = cellsOf(raster, surface, light, fieldBoxOf(raster, surface));
	const { code } = colourTable(cells, surface, material);
	const pixels = (wanted: (code: number) => boolean) =>
		cells.used.reduce((sum, cell) => (wanted(code[cell]!) ? sum + cells.count[cell]! : sum), 0);
	const all = pixels(() => true);
	const pieces = pixels((own) => own !== BACKGROUND);
	if (!(pieces > LEAST_PIECES * all)) {
		throw new TrayError(
			'nothing-spread',
			'No insulation is to be seen in the field.',
			'Spread clean insulation in one layer and take the photo again.',
		);
	}
	const heaps = heapsOf(cells, (cell) => code[cell] !== BACKGROUND, MOST_HEAPS);
	return {
		spots: lessons('insulation', heaps, photo),
		calledCopperFraction: pixels((own) => own === CLASS_CODE.brightCopper) / pieces,
	};
}

interface Heap {
	/** Share of the wanted pixels. */
	readonly share: number;
	readonly colours: readonly LabColour[];
}

/** Colours heaped up: the fullest first, each moved to where its pixels centre, then taken out. */
function heapsOf(cells: Cells, wanted: (cell: number) => boolean, most: number): Heap[] {
	const left = new Map<number, number>();
	for (const [k, cell] of cells.used.entries()) if (wanted(cell)) left.set(k, cells.count[cell]!);
	const all = [...left.values()].reduce((sum, count) => sum + count, 0);
	const heaps: Heap[] = [];
	while (heaps.length < most && left.size > 0) {
		let centre = labAt(cells, fullest(left));
		for (let round = 0; round < 5; round++) centre = meanOf(cells, left, near(cells, left, centre));
		const members = near(cells, left, centre);
		const count = members.reduce((sum, k) => sum + left.get(k)!, 0);
		if (members.length === 0 || count < LEAST_HEAP * all) break;
		heaps.push({ share: count / all, colours: drawn(cells, left, members, count) });
		for (const k of members) left.delete(k);
	}
	return heaps;
}

function labAt({ cielab }: Cells, k: number): LabColour {
	return [cielab[3 * k]!, cielab[3 * k + 1]!, cielab[3 * k + 2]!];
}

function fullest(left: ReadonlyMap<number, number>): number {
	let best = -1;
	let most = -1;
	for (const [k, count] of left) {
		if (count <= most) continue;
		best = k;
		most = count;
	}
	return best;
}

function near(cells: Cells, left: ReadonlyMap<number, number>, [L, a, b]: LabColour): number[] {
	return [...left.keys()].filter((k) => {
		const [l, p, q] = labAt(cells, k);
		return Math.hypot(l - L, p - a, q - b) <= HEAP_RADIUS;
	});
}

function meanOf(cells: Cells, left: ReadonlyMap<number, number>, members: readonly number[]): LabColour {
	const sum = [0, 0, 0];
	let total = 0;
	for (const k of members) {
		const count = left.get(k)!;
		for (const [axis, value] of labAt(cells, k).entries()) sum[axis]! += count * value;
		total += count;
	}
	return [sum[0]! / total, sum[1]! / total, sum[2]! / total];
}

/** Colours standing for a heap, each cell as often as it has pixels. */
function drawn(
	cells: Cells,
	left: ReadonlyMap<number, number>,
	members: readonly number[],
	count: number,
): LabColour[] {
	const colours: LabColour[] = [];
	let passed = 0;
	for (const k of members) {
		passed += left.get(k)!;
		while (colours.length < MOST_COLOURS && (colours.length + 0.5) * count <= passed * MOST_COLOURS) {
			colours.push(labAt(cells, k).map((value) => Math.round(100 * value) / 100) as LabColour); // three in, three out
		}
	}
	return colours;
}

/** Whether a heap has the main heap's hue: the same surface in less light. */
function isShadeOf(colours: readonly LabColour[], main: readonly LabColour[]): boolean {
	const { centre, covariance } = robustPatch('surface', main);
	const [ll, la, lb, aa, ab, bb] = covariance;
	const wide = ellipsoidOf({
		name: 'surface',
		centre,
		covariance: [ll * SHADE ** 4, la * SHADE ** 2, lb * SHADE ** 2, 4 * aa, 4 * ab, 4 * bb],
	});
	const own = robustPatch('heap', colours).centre;
	return squaredDistance(wide, own.L, own.a, own.b) <= SHADE ** 2;
}

function lessons(kind: TaughtSpot['class'], heaps: readonly Heap[], photo: string): TaughtSpot[] {
	return heaps.map((heap, k) => ({
		id: `${photo}/${kind}/${k + 1}`,
		photo,
		class: kind,
		xPx: 0,
		yPx: 0,
		radiusPx: 0,
		note: `${Math.round(100 * heap.share)} % of the photo's ${kind === 'background' ? 'surface' : 'pieces'}`,
		colours: [...heap.colours],
	}));
}

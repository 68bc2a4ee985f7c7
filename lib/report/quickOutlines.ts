import { CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { traceOutlines } from '../particles/traceOutlines';
import type { ClassMap } from '../segmentation/classMap';
import { labelRegions } from '../segmentation/labelRegions';
import type { DrawnClass, DrawnPiece } from './piecePicture';

/** Smaller regions are left out of a quick look, pixels of the class map. Chosen by eye: they only flicker. */
const LEAST_PX = 6;

const CLASS_OF_CODE = new Map<number, DrawnClass>([
	...MATERIAL_CLASSES.map((name): [number, DrawnClass] => [CLASS_CODE[name], name]),
	[UNJUDGED, 'unjudged'],
]);

/**
 * Outlines of the classes on a class map, without sizes or masses: quick enough to follow a finger.
 *
 * @param scale - pixels of the photo per pixel of the map
 * @param pixelMm2 - area of a pixel of the map on the surface
 */
export function quickOutlines(map: ClassMap, scale: number, pixelMm2: number): readonly DrawnPiece[] {
	const { labels, width, height, columnOffset, rowOffset } = map;
	const { ids, count } = labelRegions(labels, width, height);
	const pixels = new Int32Array(count + 1);
	const code = new Uint8Array(count + 1);
	// one pass over the pixels, local mutation only
	for (let i = 0; i < ids.length; i++) {
		const id = ids[i]!;
		pixels[id]!++;
		code[id] = labels[i]!;
	}
	return traceOutlines(ids, count, width, height, 0.5).flatMap((rings, k): DrawnPiece[] => {
		const name = CLASS_OF_CODE.get(code[k + 1]!);
		if (name === undefined || pixels[k + 1]! < LEAST_PX) return [];
		const onPhoto = rings.map((ring) => ring.map((at, i) => scale * (at + (i % 2 === 0 ? columnOffset : rowOffset))));
		return [{ class: name, rings: onPhoto, areaMm2: pixels[k + 1]! * pixelMm2, touchesEdge: false }];
	});
}

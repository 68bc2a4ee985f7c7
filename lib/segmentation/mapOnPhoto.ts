import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { boundsOf } from './fieldBox';
import type { FieldCopy } from './fieldCopy';
import { pixelKernels } from './pixelKernels';

/**
 * The classes of a smaller copy's pixels on the photo itself: each label on all the pixels that it was read from, in the box of the
 * field on the photo. Covered shares and gaps belong to the copy and stay behind.
 *
 * @returns the map itself where the photo was read as it is
 */
export function mapOnPhoto(
	map: ClassMap,
	{ reducedBy, left, top }: Omit<FieldCopy, 'raster' | 'surface'>,
	photo: Pick<Raster, 'width' | 'height'>,
	surface: Pick<Surface, 'cornersPx'>,
): ClassMap {
	if (reducedBy === 1) return map;
	const box = boundsOf(photo, surface);
	const labels = new Uint8Array(box.width * box.height);
	// where the map's first column and row begin in the box
	const column = left + reducedBy * map.columnOffset - box.columnOffset;
	const row = top + reducedBy * map.rowOffset - box.rowOffset;
	const first = Math.max(0, -column);
	const past = Math.min(reducedBy * map.width, box.width - column);
	const wide = reducedBy * map.width;
	const lines = broadened(map.labels, reducedBy);
	for (let y = 0; y < map.height; y++) {
		const line = lines.subarray(y * wide + first, y * wide + past);
		for (let k = 0; k < reducedBy; k++) {
			const at = row + y * reducedBy + k;
			if (at >= 0 && at < box.height) labels.set(line, at * box.width + column + first);
		}
	}
	const { width, height, columnOffset, rowOffset } = box;
	return { width, height, columnOffset, rowOffset, labels };
}

/** Each label so many times, a power of two; good until the kernels are used again. */
export function broadened(labels: Uint8Array, times: number): Uint8Array {
	const size = 16 * Math.ceil(labels.length / 16) * times;
	const kernels = pixelKernels(2 * size);
	if (kernels === undefined) return broadenedSlowly(labels, times);
	const { bytes } = kernels;
	bytes.set(labels, 0);
	let [from, into] = [0, size];
	for (let side = 1; side < times; side *= 2) {
		kernels.eachTwice(from, into, Math.ceil((side * labels.length) / 16));
		[from, into] = [into, from];
	}
	return bytes.subarray(from, from + times * labels.length);
}

/** The same label by label. */
export function broadenedSlowly(labels: Uint8Array, times: number): Uint8Array {
	const out = new Uint8Array(times * labels.length);
	for (let i = 0; i < out.length; i++) out[i] = labels[Math.floor(i / times)]!;
	return out;
}

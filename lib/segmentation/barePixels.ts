import { BACKGROUND } from '../material/classes';
import { pixelKernels } from './pixelKernels';
import { Room } from './room';

const room = new Room();

/**
 * 1 where a pixel is bare and borders no piece but thin ones, else 0; height x width; good until it is asked for again.
 *
 * @param thin - class code where a thin part is, else 0 (lib/segmentation/thinParts.ts)
 */
export function barePixels(labels: Uint8Array, thin: Uint8Array, width: number, height: number): Uint8Array {
	return bareByKernel(labels, thin, width, height) ?? bareSlowly(labels, thin, width, height);
}

/** Planes of rows with a margin of zeros to the right, above and below; undefined without SIMD. */
function bareByKernel(labels: Uint8Array, thin: Uint8Array, width: number, height: number): Uint8Array | undefined {
	const sixteens = Math.ceil((width + 1) / 16);
	const stride = 16 * sixteens;
	const plane = (height + 2) * stride + 32;
	const kernels = pixelKernels(2 * plane + stride);
	if (kernels === undefined) return undefined;
	const { bytes } = kernels;
	bytes.fill(0, 0, 2 * plane);
	for (let row = 0, at = 16 + stride; row < height; row++, at += stride) {
		bytes.set(labels.subarray(row * width, (row + 1) * width), at);
		bytes.set(thin.subarray(row * width, (row + 1) * width), plane + at);
	}
	const bare = room.bytes(labels.length);
	for (let row = 0, at = 16 + stride; row < height; row++, at += stride) {
		kernels.bareApart(at, plane + at, 2 * plane, stride, sixteens);
		bare.set(bytes.subarray(2 * plane, 2 * plane + width), row * width);
	}
	return bare;
}

/** The same pixel by pixel. */
export function bareSlowly(labels: Uint8Array, thin: Uint8Array, width: number, height: number): Uint8Array {
	const bare = new Uint8Array(labels.length);
	for (let row = 0, i = 0; row < height; row++)
		for (let column = 0; column < width; column++, i++)
			if (labels[i] === BACKGROUND && !bordersThick(i, column, labels, thin, width)) bare[i] = 1;
	return bare;
}

function bordersThick(i: number, column: number, labels: Uint8Array, thin: Uint8Array, width: number): boolean {
	const left = column > 0 ? -1 : 0;
	const right = column < width - 1 ? 1 : 0;
	for (let line = i - width; line <= i + width; line += width) {
		if (line < 0 || line >= labels.length) continue;
		for (let j = line + left; j <= line + right; j++)
			if (labels[j] !== BACKGROUND && thin[j] === BACKGROUND) return true;
	}
	return false;
}

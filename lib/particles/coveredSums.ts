import { pixelsOf, type Runs } from '../segmentation/labelRuns';
import { pixelKernels } from '../segmentation/pixelKernels';

/** By run: covered 255ths of its pixels, and these times widths, summed. */
export interface CoveredSums {
	readonly area: Float64Array;
	readonly widthArea: Float64Array;
}

/**
 * Covered pixels of runs, summed.
 *
 * @param widthPx - local width at each of the runs' pixels in reading order, pixels
 * @param cover - covered share of each pixel of the picture, 0 to 255; whole pixels where it is left out
 * @returns stands until these kernels are used again
 */
export function coveredSumsOf(runs: Runs, widthPx: Float32Array, cover?: Uint8Array): CoveredSums {
	return sumsByKernel(runs, widthPx, cover) ?? sumsSlowly(runs, widthPx, cover);
}

/** The same in the kernels; undefined without SIMD. */
export function sumsByKernel(runs: Runs, widthPx: Float32Array, cover?: Uint8Array): CoveredSums | undefined {
	const { count, start, end, width, height } = runs;
	let bytes = 0;
	const space = (size: number) => {
		const at = bytes;
		bytes += 16 * Math.ceil(size / 16);
		return at;
	};
	const [areas, widthAreas] = [space(8 * count), space(8 * count)];
	const [starts, ends, covers] = [space(4 * count), space(4 * count), space(width * height)];
	const widths = space(4 * pixelsOf(runs));
	const kernels = pixelKernels(bytes);
	if (kernels === undefined) return undefined;
	const { buffer } = kernels.bytes;
	new Int32Array(buffer, starts, count).set(start);
	new Int32Array(buffer, ends, count).set(end);
	new Float32Array(buffer, widths, widthPx.length).set(widthPx);
	if (cover === undefined) kernels.bytes.fill(255, covers, covers + width * height);
	else kernels.bytes.set(cover, covers);
	if (count > 0) kernels.coveredSums(starts, ends, count, covers, widths, areas, widthAreas);
	return { area: new Float64Array(buffer, areas, count), widthArea: new Float64Array(buffer, widthAreas, count) };
}

/** The same pixel by pixel. */
export function sumsSlowly({ count, start, end }: Runs, widthPx: Float32Array, cover?: Uint8Array): CoveredSums {
	const [area, widthArea] = [new Float64Array(count), new Float64Array(count)];
	let k = 0;
	for (let run = 0; run < count; run++) {
		for (let i = start[run]!; i < end[run]!; i++, k++) {
			const covered = cover === undefined ? 255 : cover[i]!;
			area[run]! += covered;
			widthArea[run]! += covered * widthPx[k]!;
		}
	}
	return { area, widthArea };
}

import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { kernelsOf } from './kernelMemory';
import type { Light } from './light';
import { CURVE, curvedRows, type ModelRows, ROW_STEP } from './modelRows';
import { LIGHT_TILE_PX, lightGains, reflectanceRows } from './reflectanceTiles';
import { resampledLines, type Target, type Tents, tents } from './resampleRows';
import { addRows, curveRow, lightRow } from './sightCode';

type Box = Pick<ClassMap, 'width' | 'height' | 'columnOffset' | 'rowOffset'>;

interface SightFunctions {
	lightRow(bytes: number, gains: number, into: number, squares: number): void;
	addRows(first: number, second: number, into: number, fours: number, w: number, v: number, kept: number): void;
	curveRow(
		line: number,
		from: number,
		weights: number,
		taps: number,
		into: number,
		columns: number,
		curve: number,
	): void;
}

const sightKernels = kernelsOf<SightFunctions>([lightRow, addRows, curveRow]);

/**
 * What the network sees of a box on a photo: light-corrected, at its own scale (see `resampledLines`), row by row from the photo's own bytes, so that no
 * picture is held beside the photo.
 *
 * @param target - sizes at the network's scale; what lies beyond `columns` and `rows` repeats the last column and row
 */
export function seenRows(raster: Raster, surface: Surface, light: Light, box: Box, target: Target): ModelRows {
	const { width, height } = target;
	const slow = slowRows(raster, surface, light, box, target);
	return { width, height, open: () => openRows(raster, surface, light, box, target) ?? slow.open() };
}

/** The same where WebAssembly has no SIMD. */
export function slowRows(raster: Raster, surface: Surface, light: Light, box: Box, target: Target): ModelRows {
	return curvedRows(target.width, target.height, () => {
		const readRow = reflectanceRows(raster, surface, light, box);
		return resampledLines({ width: box.width, height: box.height, readRow }, target);
	});
}

function openRows(raster: Raster, surface: Surface, light: Light, box: Box, target: Target) {
	const { across: squares, gain } = lightGains(surface, light, box);
	const down = tents(box.height, target.rows);
	const { from, weights, taps } = evenTaps(tents(box.width, target.columns), box.width);
	const kept = mostTaps(down);
	const lineBytes = 4 * 3 * LIGHT_TILE_PX * squares;
	let bytes = 0;
	const take = (size: number) => {
		const at = bytes;
		bytes += 16 * Math.ceil(size / 16);
		return at;
	};
	const tables = take(4 * 256 * 3);
	const places = {
		curve: take(CURVE.byteLength),
		from: take(from.byteLength),
		weights: take(weights.byteLength),
		gains: take(gain.byteLength),
		codes: take(3 * LIGHT_TILE_PX * squares),
		lines: take(kept * lineBytes),
		// a column's numbers are read by fours
		sum: take(lineBytes + 16),
		row: take(4 * ROW_STEP * target.width),
	};
	const kernels = sightKernels(bytes);
	if (kernels === undefined) return undefined;
	const floats = new Float32Array(kernels.bytes.buffer);
	for (const [c, table] of light.tables.entries()) floats.set(table, tables / 4 + 256 * c);
	floats.set(CURVE, places.curve / 4);
	new Int32Array(kernels.bytes.buffer).set(from, places.from / 4);
	floats.set(weights, places.weights / 4);
	floats.set(gain, places.gains / 4);
	floats.fill(0, places.sum / 4, places.row / 4);
	/** Which row of the box lies at each place of the lines. */
	const there = new Int32Array(kept).fill(-1);
	const lineOf = (y: number) => {
		const at = places.lines + (y % kept) * lineBytes;
		if (there[y % kept] === y) return at;
		there[y % kept] = y;
		const start = 3 * ((y + box.rowOffset) * raster.width + box.columnOffset);
		kernels.bytes.set(raster.data.subarray(start, start + 3 * box.width), places.codes);
		const gains = places.gains + 4 * 3 * squares * Math.floor(y / LIGHT_TILE_PX);
		kernels.lightRow(places.codes, gains, at, squares);
		return at;
	};
	const row = floats.subarray(places.row / 4, places.row / 4 + ROW_STEP * target.width);
	let last = -1;
	return (y: number) => {
		const k = Math.min(target.rows - 1, y);
		if (k === last) return row;
		last = k;
		const first = down.from[k]!;
		for (let at = down.start[k]!, to = down.start[k + 1]!, line = first; at < to; at += 2, line += 2) {
			const one = lineOf(line);
			const isPair = at + 1 < to;
			const other = isPair ? lineOf(line + 1) : one;
			const weight = isPair ? down.weights[at + 1]! : 0;
			kernels.addRows(one, other, places.sum, lineBytes / 16, down.weights[at]!, weight, line === first ? 0 : 1);
		}
		kernels.curveRow(places.sum, places.from, places.weights, taps, places.row, target.columns, places.curve);
		for (let i = ROW_STEP * target.columns; i < row.length; i++) row[i] = row[i - ROW_STEP]!;
		return row;
	};
}

function mostTaps({ count, start }: Tents): number {
	let most = 1;
	for (let k = 0; k < count; k++) most = Math.max(most, start[k + 1]! - start[k]!);
	return most;
}

/** The same weights, as many for every target pixel: noughts fill up. Places in bytes of a line of three floats a pixel. */
function evenTaps(of: Tents, size: number) {
	const taps = mostTaps(of);
	const from = new Int32Array(of.count);
	const weights = new Float32Array(of.count * taps);
	for (let k = 0; k < of.count; k++) {
		const first = Math.min(of.from[k]!, size - taps);
		from[k] = 4 * 3 * first;
		for (let at = of.start[k]!; at < of.start[k + 1]!; at++)
			weights[k * taps + of.from[k]! - first + at - of.start[k]!] = of.weights[at]!;
	}
	return { taps, from, weights };
}

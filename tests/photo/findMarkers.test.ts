import { expect, test } from 'vitest';
import { findMarkers } from '@/lib/photo/findMarkers';
import { MODULES_PER_SIDE, whiteModules } from '@/lib/photo/markerCodes';
import { markerFit } from '@/lib/photo/markerFit';
import type { Raster } from '@/lib/photo/raster';

const SIDE_PX = 96;
const MARGIN_PX = 40;

/** A mark of a number of modules a side on white paper: its code is that of mark 7, resampled to the finer squares. */
function markOf(modules: number): Raster {
	const size = SIDE_PX + 2 * MARGIN_PX;
	const data = new Uint8Array(3 * size * size).fill(230);
	const code = whiteModules(7);
	for (let row = 0; row < SIDE_PX; row++) {
		for (let column = 0; column < SIDE_PX; column++) {
			const [r, c] = [row, column].map((v) => Math.floor((v * modules) / SIDE_PX)) as [number, number];
			const rim = Math.min(r, c, modules - 1 - r, modules - 1 - c) === 0;
			const inner = (v: number) => 1 + Math.floor(((v - 1) * (MODULES_PER_SIDE - 2)) / (modules - 2));
			const white = !rim && code[inner(r)]![inner(c)]!;
			const at = 3 * ((row + MARGIN_PX) * size + column + MARGIN_PX);
			data.fill(white ? 230 : 30, at, at + 3);
		}
	}
	return { width: size, height: size, channels: 3, colourSpace: 'srgb', data };
}

const corners = [
	{ x: MARGIN_PX, y: MARGIN_PX },
	{ x: MARGIN_PX + SIDE_PX, y: MARGIN_PX },
	{ x: MARGIN_PX + SIDE_PX, y: MARGIN_PX + SIDE_PX },
	{ x: MARGIN_PX, y: MARGIN_PX + SIDE_PX },
];

test('a mark of the right dictionary is found where it is', () => {
	const [mark, ...others] = findMarkers(markOf(6));
	expect(others).toEqual([]);
	expect(mark?.id).toBe(7);
	for (const [i, corner] of corners.entries()) {
		const { outlinePx, cornersPx } = mark!;
		expect(Math.hypot(outlinePx[i]!.x - corner.x, outlinePx[i]!.y - corner.y)).toBeLessThan(0.05);
		// the crossing of slopes lies a little inside a black corner
		expect(Math.hypot(cornersPx[i]!.x - corner.x, cornersPx[i]!.y - corner.y)).toBeLessThan(0.5);
	}
	expect(markerFit(markOf(6), corners, 7)).toBe(1);
});

test('a mark with finer squares is not ours, though its majority reads as one of our codes', () => {
	// six squares of code a side instead of four, as dictionaries with more marks have
	expect(markerFit(markOf(8), corners, 7)).toBeLessThan(0.97);
	expect(findMarkers(markOf(8))).toEqual([]);
});

test('the first mark of the dictionary has the published code', () => {
	// OpenCV DICT_4X4_50, id 0: bytes 181 and 50, that is 1011 0101 0011 0010
	const inner = whiteModules(0)
		.slice(1, 5)
		.map((row) => row.slice(1, 5).map(Number).join(''));
	expect(inner).toEqual(['1011', '0101', '0011', '0010']);
	expect(() => whiteModules(50)).toThrow(RangeError);
});

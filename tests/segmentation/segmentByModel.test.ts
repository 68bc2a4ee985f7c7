import fc from 'fast-check';
import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { encodeSrgb } from '@/lib/photo/srgbCurve';
import { fieldGrid } from '@/lib/segmentation/fieldCopy';
import type { Light } from '@/lib/segmentation/light';
import type { PixelModel } from '@/lib/segmentation/pixelModel';
import { resampledLines } from '@/lib/segmentation/resampleRows';
import { seenRows, slowRows } from '@/lib/segmentation/seenRows';
import { segment } from '@/lib/segmentation/segment';
import { segmentByModel } from '@/lib/segmentation/segmentByModel';
import { flatSurface } from '../particles/shapes';
import { madeUpModel } from './modelPicture';
import { BLUE_PLASTIC, COPPER, PAPER, PLAIN_LIGHT, photo } from './trays';

/** A stand-in that knows three colours: what is under test is the way there and back, not a network. */
function colourModel(scalePxPerMm: number, sizes: number[][] = []): PixelModel {
	const paper = encodeSrgb(0.6) - 0.5;
	const called = ([red, , blue]: Float32Array) => (red! > paper ? 0 : red! > blue! ? 1 : 4);
	return madeUpModel(scalePxPerMm, (c, rgb) => (called(rgb) === c ? 1 : 0), sizes);
}

const bars = photo(330, 900, (x, y) =>
	x > 60 && x < 140 ? COPPER : y > 420 && y < 700 && x > 200 ? BLUE_PLASTIC : PAPER,
);

test.each([4, 8, 11])(
	'classes come back to the photo where they were, with the model at %d pixels a millimetre',
	async (scale) => {
		const sizes: number[][] = [];
		const map = await segmentByModel(bars, flatSurface(330, 900, 8), PLAIN_LIGHT, colourModel(scale, sizes));
		for (const size of sizes) for (const side of size) expect(side % 8).toBe(0);
		const at = (x: number, y: number) => map.labels[y * 330 + x];
		for (let y = 5; y < 900; y += 10) {
			expect(at(100, y)).toBe(1);
			expect(at(30, y)).toBe(0);
			expect(at(260, y)).toBe(y > 424 && y < 697 ? 4 : y < 416 || y > 704 ? 0 : at(260, y));
		}
		const copper = map.labels.filter((label) => label === 1).length / 900;
		expect(Math.abs(copper - 79)).toBeLessThan(2.1); // the line moves by less than a model pixel
	},
);

test('classes told on a coarser grid lie where that grid says', async () => {
	const surface = flatSurface(330, 900, 16);
	const grid = fieldGrid(bars, surface);
	expect([grid.reducedBy, grid.width, grid.height]).toEqual([2, 165, 450]);
	const map = await segmentByModel(bars, surface, PLAIN_LIGHT, colourModel(8), undefined, grid);
	expect([map.width, map.height]).toEqual([165, 450]);
	const at = (x: number, y: number) => map.labels[y * 165 + x];
	for (let y = 5; y < 450; y += 10) {
		expect(at(50, y)).toBe(1);
		expect(at(15, y)).toBe(0);
		if (y > 214 && y < 346) expect(at(130, y)).toBe(4);
	}
	const copper = map.labels.filter((label) => label === 1).length / 450;
	expect(Math.abs(copper - 39.5)).toBeLessThan(1.1); // the line moves by less than a model pixel
	const areas = map.areas!.px.reduce((sum, px) => sum + px, 0);
	expect(areas).toBeCloseTo(165 * 450, 0);
});

test('a pixel between three classes stays unjudged; what it may be is kept, but for a copper that is nowhere plain', async () => {
	const unsure = madeUpModel(8, (c) => (c < 3 ? 1 / 3 : 0));
	const map = await segmentByModel(bars, flatSurface(330, 900, 8), PLAIN_LIGHT, unsure);
	expect(new Set(map.labels)).toEqual(new Set([255]));
	expect(map.areas!.px.reduce((sum, px) => sum + px, 0)).toBe(0);
	const sums = [0, 0, 0, 0, 0, 0];
	for (const [i, px] of map.areas!.unsurePx!.entries()) sums[i % 6]! += px;
	const third = (330 * 900) / 3;
	for (const [code, sum] of sums.entries()) expect(sum).toBeCloseTo(code === 0 || code === 2 ? third : 0, 0);
});

test('with a model the model reads, without one the thresholds do', async () => {
	const surface = flatSurface(330, 900, 8);
	const byModel = await segment(bars, surface, PLAIN_LIGHT, DEFAULT_MATERIAL, colourModel(8));
	const byColour = await segment(bars, surface, PLAIN_LIGHT, DEFAULT_MATERIAL);
	expect(byModel.cover).toBeDefined();
	expect(byColour.cover).toBeDefined();
	expect(byModel.labels[450 * 330 + 100]).toBe(1);
	expect(byColour.labels[450 * 330 + 100]).toBe(1);
});

test('a picture brought to another size keeps its light', () => {
	const pixels = Float32Array.from({ length: 37 * 23 * 3 }, (_, i) => ((i * 7919) % 101) / 100);
	const readRow = (y: number, line: Float32Array) => line.set(pixels.subarray(111 * y, 111 * (y + 1)));
	const mean = (values: Float32Array) => values.reduce((sum, v) => sum + v, 0) / values.length;
	for (const [columns, rows] of [
		[37, 23],
		[18, 12],
		[61, 40],
	] as const) {
		const out = new Float32Array(3 * columns * rows);
		const lineAt = resampledLines({ width: 37, height: 23, readRow }, { columns, rows, width: columns, height: rows });
		for (let y = 0; y < rows; y++) lineAt(y, out.subarray(3 * columns * y, 3 * columns * (y + 1)));
		if (columns === 37) for (const [i, v] of pixels.entries()) expect(out[i]).toBeCloseTo(v, 5);
		expect(Math.abs(mean(out) - mean(pixels))).toBeLessThan(0.01); // rim pixels weigh a little more or less
	}
});

test('rows seen by the kernels are those worked out number by number, at any scale, from any row on', () => {
	const size = { width: 90, height: 61 };
	const noise = photo(size.width, size.height, (x, y) => [
		((x * 53 + y * 17) % 256) / 255,
		((x * y) % 256) / 255,
		((y * 31) % 200) / 255,
	]);
	const bright = { tables: PLAIN_LIGHT.tables.map((table) => table.map((v) => 2.5 * v)) } as unknown as Light;
	fc.assert(
		fc.property(
			fc.integer({ min: 1, max: 60 }),
			fc.integer({ min: 1, max: 90 }),
			fc.integer({ min: 1, max: 89 }),
			fc.constantFrom(PLAIN_LIGHT, bright),
			(rows, columns, columnOffset, light) => {
				const box = { width: 90 - columnOffset, height: 50, columnOffset, rowOffset: 11 };
				const target = { rows, columns, width: 8 * Math.ceil(columns / 8), height: 8 * Math.ceil(rows / 8) };
				const [ours, theirs] = [seenRows, slowRows].map((read) =>
					read(noise, flatSurface(90, 61, 8), light, box, target).open(),
				);
				for (const y of [...Array(target.height).keys(), 0, rows >> 1]) {
					const [our, their] = [ours!(y), theirs!(y)];
					expect(our.reduce((most, value, i) => Math.max(most, Math.abs(value - their[i]!)), 0)).toBeLessThan(1e-5);
				}
			},
		),
		{ numRuns: 40 },
	);
});

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CLASS_CODE } from '@/lib/material/classes';
import type { Raster } from '@/lib/photo/raster';
import { barePixels, bareSlowly } from '@/lib/segmentation/barePixels';
import { JUDGED_PIECE } from '@/lib/segmentation/cellCode';
import { CELLS, CLIPPED, cellsOf, countCells, labelsOfCells, OUTSIDE } from '@/lib/segmentation/cells';
import { fieldBoxOf } from '@/lib/segmentation/fieldBox';
import { insideByKernel, insideSlowly, outvotedByKernel, outvotedSlowly } from '@/lib/segmentation/glossLabels';
import { cutSlowly, runsOf } from '@/lib/segmentation/labelRuns';
import { stepTable, TILE_PX } from '@/lib/segmentation/stepTable';
import { thinParts, thinSlowly } from '@/lib/segmentation/thinParts';
import { flatSurface } from '../particles/shapes';
import { PLAIN_LIGHT } from './trays';

/** Boxes of several labels, each over those before it. */
const pictures = fc
	.record({
		width: fc.integer({ min: 1, max: 70 }),
		height: fc.integer({ min: 1, max: 50 }),
		boxes: fc.array(
			fc.record({
				left: fc.nat(70),
				top: fc.nat(50),
				across: fc.integer({ min: 1, max: 14 }),
				down: fc.integer({ min: 1, max: 14 }),
				label: fc.constantFrom(0, 1, 2, 5, 255),
			}),
			{ maxLength: 30 },
		),
	})
	.map(({ width, height, boxes }) => {
		const labels = new Uint8Array(width * height);
		for (const { left, top, across, down, label } of boxes)
			for (let row = top; row < Math.min(height, top + down); row++)
				if (left < width) labels.fill(label, row * width + left, row * width + Math.min(width, left + across));
		return { width, height, labels };
	});

test('runs cut by the kernels are those found pixel by pixel, with and without a field of their own', () => {
	fc.assert(
		fc.property(pictures, fc.integer({ min: 1, max: 9 }), ({ width, height, labels }, every) => {
			expect(runsOf(labels, width, height)).toEqual(cutSlowly(labels, width, height));
			const inside = labels.map((_, i) => (Math.floor(i / every) % 3 === 0 ? 0 : 1));
			expect(runsOf(labels, width, height, inside)).toEqual(cutSlowly(labels, width, height, inside));
		}),
	);
});

test('thin parts found by the kernels are those found run by run, of all classes and of some', () => {
	const some = new Uint8Array(16);
	some[1] = 255;
	some[5] = 255;
	fc.assert(
		fc.property(pictures, ({ width, height, labels }) => {
			expect(thinParts(labels, width, height)).toEqual(thinSlowly(labels, width, height));
			expect(thinParts(labels, width, height, some)).toEqual(thinSlowly(labels, width, height, some));
		}),
	);
});

test('bare pixels found by the kernels are those found pixel by pixel', () => {
	fc.assert(
		fc.property(pictures, ({ width, height, labels }) => {
			const thin = thinParts(labels, width, height);
			expect(barePixels(labels, thin, width, height)).toEqual(bareSlowly(labels, thin, width, height));
		}),
	);
});

test('insides of copper found by the kernels are those found pixel by pixel, but for the rows at either end', () => {
	fc.assert(
		fc.property(pictures, ({ width, height, labels }) => {
			const inside = (marks: Uint8Array | undefined) => marks?.subarray(2 * width, Math.max(2, height - 2) * width);
			expect(inside(insideByKernel(labels, width))).toEqual(inside(insideSlowly(labels, width)));
		}),
	);
});

/** Pictures in light that falls off, larger than a square of light, and a code for each cell. */
const photos = fc
	.record({
		width: fc.integer({ min: 20, max: 70 }),
		height: fc.integer({ min: 20, max: 50 }),
		factor: fc.integer({ min: 1, max: 1 << 20 }),
		slope: fc.double({ min: -0.5, max: 0.5, noNaN: true }),
	})
	.map(({ width, height, factor, slope }) => {
		const data = Uint8Array.from({ length: 3 * width * height }, (_, i) => Math.imul(i + 1, factor) >>> 11);
		const raster = { width, height, channels: 3, colourSpace: 'srgb', data } as const;
		const surface = flatSurface(width, height, 4);
		const terms = [0, slope, 0.1, 0, 0, 0] as const;
		const shadows = { leftMm: 0, topMm: 0, pitchMm: 1, columns: 2, rows: 2, log: [0, 0, 0, 0] };
		const { fieldWidthMm, fieldHeightMm } = surface;
		const falloff = { fieldWidthMm, fieldHeightMm, coefficients: [terms, terms, terms] as const, shadows };
		const light = { ...PLAIN_LIGHT, falloff };
		const box = fieldBoxOf(raster, surface);
		return { raster, surface, light, box, steps: stepTable(surface, light, box), factor };
	});

test('cells counted and labelled by the kernels are those kept pixel by pixel', () => {
	fc.assert(
		fc.property(photos, ({ raster, surface, light, box, steps, factor }) => {
			const { cell, ...counted } = cellsOf(raster, surface, light, box);
			const fast = countCells(raster, box, steps);
			// as bytes: number by number a quarter of a million cells take a second
			for (const name of ['count', 'used', 'cielab'] as const)
				expect(bytesOf(fast[name]).equals(bytesOf(counted[name]))).toBe(true);
			expect(fast.clipped).toBe(counted.clipped);
			const code = Uint8Array.from({ length: CELLS }, (_, k) => Math.imul(k, factor) >>> 24);
			const labels = labelsOfCells(raster, box, steps, code, 77);
			expect(labels).toEqual(Uint8Array.from(cell, (k) => (k === OUTSIDE ? 0 : k === CLIPPED ? 77 : code[k]!)));
		}),
		{ numRuns: 20 },
	);
});

test('rows of the box in which no pixel lies in the field carry no label of an earlier photo', () => {
	const raster: Raster = { width: 40, height: 33, channels: 3, colourSpace: 'srgb', data: new Uint8Array(40 * 33 * 3) };
	const surface = flatSurface(40, 33, 4);
	const box = fieldBoxOf(raster, surface);
	const steps = stepTable(surface, PLAIN_LIGHT, box);
	const labels = (inside: Uint8Array) =>
		labelsOfCells(raster, { ...box, inside }, steps, new Uint8Array(CELLS).fill(1), 77);
	expect(labels(box.inside)).toEqual(box.inside);
	const upper = box.inside.map((_, i) => (i < 16 * 40 ? 1 : 0));
	expect(labels(upper)).toEqual(upper);
});

function bytesOf({ buffer, byteOffset, byteLength }: Uint32Array | Int32Array | Float64Array): Buffer {
	return Buffer.from(buffer, byteOffset, byteLength);
}

test('copper outvoted by the kernels is that outvoted pixel by pixel', () => {
	fc.assert(
		fc.property(photos, ({ raster, box, steps, factor }) => {
			const { width, height, columnOffset, rowOffset } = box;
			const labels = Uint8Array.from({ length: width * height }, (_, i) => i % 6);
			const map = { width, height, columnOffset, rowOffset, labels };
			const odds = Int8Array.from({ length: CELLS }, (_, k) => Math.imul(k, factor) >> 24);
			const pieces: number[] = [];
			const firstOfRow = new Int32Array(height + 1);
			for (let row = 0; row < height; row++) {
				const tile = 3 * Math.floor(row / TILE_PX) * steps.across;
				const at = (row + rowOffset) * raster.width + columnOffset;
				if (row % 3 !== 0)
					pieces.push(3 * at, row * width, row * width + 9, ...steps.starts.subarray(tile, tile + 3), row - 20);
				firstOfRow[row + 1] = pieces.length;
			}
			expect(pieces.length % JUDGED_PIECE).toBe(0);
			const judged = { pieces: Int32Array.from(pieces), firstOfRow };
			const slowly = outvotedSlowly(raster, map, steps, judged, odds);
			expect(outvotedByKernel(raster, map, steps, judged, odds)).toEqual(slowly);
			expect(slowly).toContain(CLASS_CODE.insulation);
		}),
		{ numRuns: 20 },
	);
});

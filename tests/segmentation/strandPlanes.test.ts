import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CLASS_CODE } from '@/lib/material/classes';
import { planesSlowly, strandPlanes } from '@/lib/segmentation/strandPlanes';
import { thinParts } from '@/lib/segmentation/thinParts';
import { PLAIN_LIGHT, photo, type Rgb } from './trays';

const boxes = fc.array(
	fc.record({
		left: fc.nat(60),
		top: fc.nat(40),
		across: fc.integer({ min: 1, max: 9 }),
		down: fc.integer({ min: 1, max: 9 }),
		label: fc.constantFrom(CLASS_CODE.brightCopper, CLASS_CODE.insulation, CLASS_CODE.other),
	}),
	{ maxLength: 8 },
);

test('the kernels find the same free pixels, pulls and lines as going pixel by pixel', () => {
	fc.assert(
		fc.property(
			fc.record({
				width: fc.integer({ min: 1, max: 60 }),
				height: fc.integer({ min: 1, max: 40 }),
				columnOffset: fc.nat(5),
				rowOffset: fc.nat(5),
				boxes,
			}),
			({ width, height, columnOffset, rowOffset, boxes }) => {
				const raster = photo(width + columnOffset, height + rowOffset, (x, y): Rgb => [x / 99, y / 99, 0.5], 0.2);
				const labels = new Uint8Array(width * height);
				for (const { left, top, across, down, label } of boxes)
					for (let row = top; row < Math.min(height, top + down); row++)
						if (left < width) labels.fill(label, row * width + left, row * width + Math.min(width, left + across));
				const map = { width, height, columnOffset, rowOffset, labels };
				const thin = thinParts(labels, width, height);
				const [planes, slow] = [
					strandPlanes(raster, PLAIN_LIGHT, map, thin),
					planesSlowly(raster, PLAIN_LIGHT, map, thin),
				];
				expect(planes.isFree.map((free) => Math.min(1, free))).toEqual(slow.isFree);
				const factors = {
					write(row: number, into: Float64Array) {
						for (let k = 0; k < into.length; k++) into[k] = Math.sin(row + k);
					},
				};
				const pull = planes.pulls(factors);
				expect(pull).toEqual(slow.pulls(factors));
				for (const least of [0.15, 0.4]) expect(planes.lines(pull, least)).toEqual(slow.lines(pull, least));
			},
		),
	);
});

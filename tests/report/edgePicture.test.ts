import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { CLASS_STYLES } from '@/lib/report/classPalette';
import { edgePicture, edgesSlowly } from '@/lib/report/edgePicture';

test('a piece has a rim of its colour, black on its bare side, and nothing inside', () => {
	const [width, height] = [9, 8];
	const labels = new Uint8Array(width * height);
	for (let y = 2; y < 6; y++) for (let x = 2; x < 6; x++) labels[y * width + x] = CLASS_CODE.insulation;
	labels[width - 1] = UNJUDGED;
	const picture = edgePicture(labels, width, height);
	const at = (x: number, y: number) => Array.from(picture.subarray(4 * (y * width + x), 4 * (y * width + x) + 4));
	const { colour } = CLASS_STYLES.insulation;
	const rim = [1, 3, 5].map((from) => Number.parseInt(colour.slice(from, from + 2), 16)).concat(255);
	for (const [x, y] of [
		[2, 2],
		[5, 3],
		[3, 5],
	] as const)
		expect(at(x, y)).toEqual(rim);
	for (const [x, y] of [
		[3, 3],
		[4, 4],
		[0, 0],
		[0, 3],
	] as const)
		expect(at(x, y)).toEqual([0, 0, 0, 0]);
	expect(at(1, 3)).toEqual([0, 0, 0, 255]);
	expect(at(6, 3)).toEqual([0, 0, 0, 255]);
	expect(at(3, 6)).toEqual([0, 0, 0, 255]);
	expect(at(width - 1, 0)).toEqual([255, 255, 255, 255]);
});

test('edges by the kernel are those found pixel by pixel, whatever the size', () => {
	fc.assert(
		fc.property(
			fc.integer({ min: 1, max: 50 }),
			fc.integer({ min: 1, max: 9 }),
			fc.array(fc.constantFrom(0, 0, 0, 1, 5, UNJUDGED), { minLength: 450, maxLength: 450 }),
			(width, height, codes) => {
				const labels = Uint8Array.from(codes.slice(0, width * height));
				expect(edgePicture(labels, width, height)).toEqual(edgesSlowly(labels, width, height));
			},
		),
	);
});

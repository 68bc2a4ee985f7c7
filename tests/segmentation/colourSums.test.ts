import { expect, test } from 'vitest';
import type { Raster } from '@/lib/photo/raster';
import { LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { type RowSums, sumsByKernel, sumsSlowly } from '@/lib/segmentation/colourSums';

test('the kernel sums the light of stretches as going pixel by pixel does, bit by bit', () => {
	const random = seededRandom(8, 'stretches');
	const whole = (below: number) => Math.floor(below * random.uniform());
	const [width, height, slots, squares] = [83, 12, 7, 5];
	const raster: Raster = {
		width: width + 4,
		height,
		channels: 3,
		colourSpace: 'srgb',
		data: Uint8Array.from({ length: 3 * (width + 4) * height }, () => whole(256)),
	};
	const marks = () => Uint8Array.from({ length: width * height }, () => (whole(3) === 0 ? 1 + whole(5) : 0));
	const [labels, thin] = [marks(), marks()];
	const light = {
		tables: [LINEAR_OF_CODE, LINEAR_OF_CODE.map((v) => 0.9 * v), LINEAR_OF_CODE.map((v) => 1.1 * v)],
	} as const;
	const gain = Float32Array.from({ length: 3 * squares }, () => 0.5 + random.uniform());
	const stretches = Array.from({ length: 300 }, () => {
		const column = whole(width);
		return {
			row: 1 + whole(height - 2),
			slot: whole(slots),
			square: whole(squares),
			column,
			pixels: 1 + whole(width - column),
		};
	});
	const both = [sumsByKernel(slots, raster, light, gain), sumsSlowly(slots, raster, light, gain)] as [RowSums, RowSums];
	const [ours, twin] = both.map((sums) => {
		for (const [k, { row, slot, square, column, pixels }] of stretches.entries()) {
			sums.begin(labels, thin, row * width, width, 3 * (row * raster.width + 2));
			if (k % 2 === 0) sums.addBare(slot, square, column, pixels);
			else sums.addMetal(slot, square, column, pixels);
			sums.end();
		}
		return sums.all();
	});
	expect(ours).toEqual(twin);
	expect(Math.min(...ours!.count)).toBeGreaterThan(0);
});

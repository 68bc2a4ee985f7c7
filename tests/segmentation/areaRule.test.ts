import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { readSpread } from '@/lib/particles/readSpread';
import { shareOfLikeliest } from '@/lib/segmentation/areaRule';
import { segmentByModel } from '@/lib/segmentation/segmentByModel';
import { flatSurface } from '../particles/shapes';
import { madeUpModel } from './modelPicture';
import { COPPER, PAPER, PLAIN_LIGHT, photo } from './trays';

const table = z.array(z.array(z.number()));
const heldOut = z
	.object({
		scenes: z.array(
			z.object({
				surface: z.string(),
				called: table,
				meanProbability: table,
			}),
		),
	})
	.parse(JSON.parse(readFileSync('models/confusion.json', 'utf8'))).scenes;

const columnSums = (rows: readonly (readonly number[])[]) =>
	rows[0]!.map((_, j) => rows.reduce((sum, row) => sum + row[j]!, 0));

/** Absolute errors of copper, tinned, aluminium and insulation, points, scene by scene, when areas are made by `rule`. */
function errorsOf(kind: 'mat' | 'tray', rule: (likeliest: number[]) => ArrayLike<number>): number[][] {
	return heldOut
		.filter(({ surface }) => (surface === 'mat') === (kind === 'mat'))
		.map((scene) => {
			const [hard, soft] = [columnSums(scene.called), columnSums(scene.meanProbability)];
			const of = rule(hard);
			const area = hard.map((count, j) => of[j]! * count + (1 - of[j]!) * soft[j]!).slice(1);
			const all = area.reduce((sum, one) => sum + one, 0);
			const truth = scene.called.map(sumOf).slice(1);
			return area.map((one, j) => 100 * Math.abs(one / all - truth[j]! / sumOf(truth)));
		});
}

/** Median error of copper, tinned, aluminium and insulation, points to a tenth. */
function mediansOf(errors: readonly number[][]): number[] {
	return [0, 1, 2, 3].map((j) => {
		const sorted = errors.map((scene) => scene[j]!).sort((p, q) => p - q);
		return Number(((sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2).toFixed(1));
	});
}

/** Mean over scenes of the four classes' errors together, points. */
const meanOf = (errors: readonly number[][]) => sumOf(errors.map((scene) => sumOf(scene.slice(0, 4)))) / errors.length;

const sumOf = (numbers: readonly number[]) => numbers.reduce((sum, one) => sum + one, 0);

test('on held-out mats the rule errs less than likeliest classes alone and than sums alone', () => {
	const ruled = errorsOf('mat', shareOfLikeliest);
	expect(meanOf(ruled)).toBeLessThan(meanOf(errorsOf('mat', () => new Array(6).fill(1))));
	expect(meanOf(ruled)).toBeLessThan(meanOf(errorsOf('mat', () => new Array(6).fill(0))));
	// figures of models/CARD.md, to their digit
	expect(mediansOf(ruled)).toEqual([0.5, 0.8, 0.2, 0.5]);
	expect(mediansOf(errorsOf('tray', shareOfLikeliest))).toEqual([0.4, 0.9, 0.5, 1.7]);
});

test('a blank keeps next to no copper, whatever the sums say', () => {
	const blanks = heldOut.filter(({ called }) => called.slice(1, 4).every((row) => sumOf(row) === 0));
	expect(blanks.length).toBe(5);
	for (const { called, meanProbability } of blanks) {
		const [hard, soft] = [columnSums(called), columnSums(meanProbability)];
		const of = shareOfLikeliest(hard);
		const area = hard.map((count, j) => of[j]! * count + (1 - of[j]!) * soft[j]!).slice(1);
		expect(area[0]! / sumOf(area)).toBeLessThan(0.0035); // 0.3 % to its digit
	}
});

test('each class’s share of the likeliest lies between four tenths and one', () => {
	fc.assert(
		fc.property(fc.array(fc.nat(1_000_000), { minLength: 6, maxLength: 6 }), (likeliest) => {
			for (const share of shareOfLikeliest(likeliest)) {
				expect(share).toBeGreaterThanOrEqual(0.4);
				expect(share).toBeLessThanOrEqual(1);
			}
		}),
	);
});

test('areas come from likeliest classes and sums together, widths from the labels', async () => {
	// copper sure on the left half; on the right one in five each that it is tinned or insulation, never the likeliest
	const model = madeUpModel(8, (c, _, column) => (column < 80 ? [0, 1, 0, 0, 0, 0] : [0.6, 0, 0.2, 0, 0.2, 0])[c]!);
	const surface = flatSurface(160, 160, 8);
	const map = await segmentByModel(
		photo(160, 160, (x) => (x < 80 ? COPPER : PAPER)),
		surface,
		PLAIN_LIGHT,
		model,
	);
	const { blocks, pieces } = readSpread(map, surface, 'model');
	const area = Object.fromEntries(MATERIAL_CLASSES.map((name) => [name, sumOf(blocks.map((b) => b.areaMm2[name]))]));
	expect(area.brightCopper).toBeCloseTo(200, 0);
	expect(area.tinnedCopper).toBeCloseTo(0, 5); // a metal that is likeliest nowhere may not be there at all
	expect(area.insulation).toBeCloseTo(0.6 * 0.2 * 200, 0);
	expect(pieces.insulation.count).toBe(0);
	const width = (name: 'brightCopper' | 'insulation') => sumOf(blocks.map((b) => b.widthAreaMm3[name])) / area[name]!;
	expect(width('insulation')).toBeCloseTo(width('brightCopper'), 2); // none of its own: as wide as pieces are here
});

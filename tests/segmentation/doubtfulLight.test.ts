import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { measurePieces } from '@/lib/particles/measure';
import { readSpread } from '@/lib/particles/readSpread';
import { leaveRivalledOut, markRivalled } from '@/lib/segmentation/doubtfulLight';
import { segment } from '@/lib/segmentation/segment';
import { flatSurface } from '../particles/shapes';
import { madeUpModel } from './modelPicture';
import { COPPER, PAPER, PLAIN_LIGHT, photo } from './trays';

const { brightCopper, insulation, other } = CLASS_CODE;

test('insulation is marked where the metals together come to more than a fourth of it, by their part, and a mark stays', () => {
	const share = fc.double({ min: 0, max: 1, noNaN: true });
	fc.assert(
		fc.property(fc.array(share, { minLength: 12, maxLength: 12 }), (values) => {
			const shares = Float32Array.from(values);
			const marks = Uint8Array.from([0, 1]);
			markRivalled(shares, new Array(6).fill(1), marks);
			const [, copper = 0, tinned = 0, aluminium = 0, plastic = 0] = shares;
			const metal = copper + tinned + aluminium;
			if (metal > 0.25 * plastic) expect(Math.abs(marks[0]! - (255 * metal) / (metal + plastic))).toBeLessThan(0.51);
			else expect(marks[0]).toBe(0);
			expect(marks[1]).toBeGreaterThanOrEqual(1);
		}),
	);
});

/** A bar of copper's colour on paper, 60 of 240 columns. */
const raster = photo(240, 160, (x) => (x >= 90 && x < 150 ? COPPER : PAPER));
const surface = flatSurface(240, 160, 8);

/** A model that calls the bar insulation; what is left over it gives to copper where blue is less than the bar has in white light. */
const bar = (rest: number) =>
	madeUpModel(8, (c, rgb, column) => {
		if (column < 90 || column >= 150) return Number(c === 0);
		const doubt = rgb[2]! < white - 0.02 ? rest : 0.05;
		return c === insulation ? 1 - doubt : c === brightCopper ? doubt : 0;
	});
const white = blueOfBar();

function blueOfBar(): number {
	const at = raster.data[3 * (80 * 240 + 120) + 2]!;
	return at / 255 - 0.5;
}

async function read(source: 'none' | 'patches', rest: number) {
	const map = await segment(raster, surface, { ...PLAIN_LIGHT, source }, DEFAULT_MATERIAL, bar(rest));
	const share = (code: number, { labels } = map) => labels.filter((label) => label === code).length / labels.length;
	const shown = leaveRivalledOut(map);
	return {
		map,
		unjudged: share(UNJUDGED, shown),
		called: share(insulation),
		reading: readSpread(map, surface, 'model'),
	};
}

test('insulation that might be metal in another likely light is not judged where nothing tells the light', async () => {
	expect((await read('none', 0.3)).unjudged).toBeGreaterThan(0.22);
	expect((await read('none', 0.15)).unjudged).toBeLessThan(0.02);
	expect((await read('patches', 0.3)).unjudged).toBeLessThan(0.02);
});

test('it is measured all the same: widths and areas stay, and the range is told of it', async () => {
	const [unknown, known] = [await read('none', 0.3), await read('patches', 0.3)];
	expect(unknown.called).toBe(known.called);
	const widths = [unknown, known].map(({ map }) => measurePieces(map, surface).widthPx);
	expect(widths[0]).toEqual(widths[1]);
	const sums = [unknown, known].map(({ reading }) => ({
		insulation: reading.blocks.reduce((sum, block) => sum + block.areaMm2.insulation, 0),
		unjudged: reading.blocks.reduce((sum, block) => sum + block.unjudgedMm2, 0),
		cover: reading.coverageFraction,
	}));
	expect(sums[0]!.insulation).toBeCloseTo(sums[1]!.insulation, 6);
	expect(sums[0]!.cover).toBeCloseTo(sums[1]!.cover, 2);
	expect(sums[1]!.unjudged).toBeLessThan(5);

	expect(sums[0]!.unjudged / sums[0]!.insulation).toBeCloseTo(0.3, 1);
});

test('only what is called insulation is left out', () => {
	const labels = Uint8Array.from([insulation, brightCopper, other, 0, insulation]);
	const map = {
		width: 5,
		height: 1,
		columnOffset: 0,
		rowOffset: 0,
		labels,
		rivalled: Uint8Array.from([99, 99, 99, 99, 0]),
	};
	expect([...leaveRivalledOut(map).labels]).toEqual([UNJUDGED, brightCopper, other, 0, insulation]);
});

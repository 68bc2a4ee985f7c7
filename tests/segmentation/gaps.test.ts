import { expect, test } from 'vitest';
import { CLASS_CODE } from '@/lib/material/classes';
import { measurePieces, pieceIds } from '@/lib/particles/measure';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { gapsBetween } from '@/lib/segmentation/gaps';
import { flatSurface } from '../particles/shapes';

const [WIDTH, HEIGHT] = [160, 60] as const;
const COPPER = CLASS_CODE.brightCopper;

/** Chance of a piece where strands lie along rows, each spread by a lens's blur of standard deviation 1 px. */
function chanceOf(strands: readonly { readonly from: number; readonly to: number }[]): Uint8Array {
	const isStrand = (y: number) => Number(strands.some(({ from, to }) => y >= from && y < to));
	const taps = [-3, -2, -1, 0, 1, 2, 3].map((k) => [k, Math.exp(-(k ** 2) / 2)] as const);
	const all = taps.reduce((sum, [, weight]) => sum + weight, 0);
	return Uint8Array.from({ length: WIDTH * HEIGHT }, (_, i) => {
		const [x, y] = [i % WIDTH, Math.floor(i / WIDTH)];
		if (x < 20 || x >= 140) return 0;
		return Math.round((255 * taps.reduce((sum, [k, weight]) => sum + weight * isStrand(y + k), 0)) / all);
	});
}

/** What is called copper: all that is a piece rather than not by an easy measure, so that narrow gaps carry the label too. */
const labelsOf = (chance: Uint8Array) => chance.map((one) => (one > 100 ? COPPER : 0));

function meanWidthPx(labels: Uint8Array, gaps?: Uint8Array): number {
	const map = { width: WIDTH, height: HEIGHT, columnOffset: 0, rowOffset: 0, labels };
	const { pieces } = measurePieces(gaps === undefined ? map : { ...map, gaps }, flatSurface(WIDTH, HEIGHT, 8));
	const area = pieces.reduce((sum, { areaMm2 }) => sum + areaMm2, 0);
	return (8 * pieces.reduce((sum, { widthAreaMm3 }) => sum + widthAreaMm3, 0)) / area;
}

test('strands that lie a pixel and a half apart and carry one label are measured one by one', () => {
	const chance = chanceOf([12, 17, 22, 27, 32].map((from) => ({ from, to: from + 4 })));
	const labels = labelsOf(chance);
	const gaps = gapsBetween(labels, chance, WIDTH, HEIGHT, 3);
	// as one blob they would be 24 px wide; parted each is 4 px and up to a pixel of the gap beside it
	expect(meanWidthPx(labels)).toBeGreaterThan(20);
	expect(meanWidthPx(labels, gaps)).toBeGreaterThan(3.5);
	expect(meanWidthPx(labels, gaps)).toBeLessThan(5);
	const without = measurePieces(
		{ width: WIDTH, height: HEIGHT, columnOffset: 0, rowOffset: 0, labels },
		flatSurface(WIDTH, HEIGHT, 8),
	);
	const with_ = measurePieces(
		{ width: WIDTH, height: HEIGHT, columnOffset: 0, rowOffset: 0, labels, gaps },
		flatSurface(WIDTH, HEIGHT, 8),
	);
	// areas and piece numbers stay: a gap parts widths alone
	expect(with_.pieces.map(({ areaMm2 }) => areaMm2)).toEqual(without.pieces.map(({ areaMm2 }) => areaMm2));
	expect(pieceIds(with_)).toEqual(pieceIds(without));
	expect(with_.widthPx.every((one) => one > 0)).toBe(true);
});

test('a single broad piece has no gap, however grainy', () => {
	const random = seededRandom(3, 'grain');
	const chance = chanceOf([{ from: 15, to: 45 }]).map((one) => Math.max(0, Math.min(255, one - 6 * random.uniform())));
	const labels = labelsOf(chance);
	const gaps = gapsBetween(labels, chance, WIDTH, HEIGHT, 3);
	expect(gaps.reduce((sum, gap) => sum + gap, 0)).toBe(0);
});

test('a dip between two classes is an edge and no gap', () => {
	const chance = chanceOf([
		{ from: 20, to: 26 },
		{ from: 28, to: 34 },
	]);
	const labels = labelsOf(chance).map((label, i) => (label > 0 && i >= 27 * WIDTH ? CLASS_CODE.insulation : label));
	const gaps = gapsBetween(labels, chance, WIDTH, HEIGHT, 3);
	expect(gaps.reduce((sum, gap) => sum + gap, 0)).toBe(0);
});

test('a dip that one piece shuts in all round is no gap, one that runs to its rim is', () => {
	const whole = chanceOf([{ from: 15, to: 45 }]);
	const groove = (from: number, to: number) => {
		const chance = whole.map((one, i) => {
			const [x, y] = [i % WIDTH, Math.floor(i / WIDTH)];
			return y === 30 && x >= from && x < to ? one - 60 : one;
		});
		const gaps = gapsBetween(labelsOf(chance), chance, WIDTH, HEIGHT, 3);
		return gaps.reduce((sum, gap) => sum + gap, 0);
	};
	expect(groove(60, 100)).toBe(0);
	expect(groove(0, WIDTH)).toBeGreaterThan(100);
});

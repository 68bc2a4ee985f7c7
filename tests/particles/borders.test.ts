import { expect, test } from 'vitest';
import { readSpread } from '@/lib/particles/readSpread';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { Drawing, flatSurface } from './shapes';

const bordersOf = (drawing: Drawing, pxPerMm: number) =>
	readSpread(drawing.map(), flatSurface(drawing.width, drawing.height, pxPerMm), 'model').bordersOverChance;

test('pieces dropped at random border as chance has it', () => {
	const drawing = new Drawing(680, 400);
	const random = seededRandom(7, 'dropped squares');
	for (let k = 0; k < 600; k++) {
		const [label, side] = k % 4 === 0 ? [4, 22] : [1, 11];
		const [x, y] = [random.uniform() * 660, random.uniform() * 380].map(Math.floor) as [number, number];
		for (let row = y; row < y + side!; row++)
			drawing.labels.fill(label!, row * 680 + x, row * 680 + Math.min(680, x + side!));
	}
	expect(bordersOf(drawing, 4)).toBeGreaterThan(0.85);
	expect(bordersOf(drawing, 4)).toBeLessThan(1.15);
});

test('pieces border across a slit that is not judged, not across a wide one or bare surface', () => {
	const beside = (slit: number, wide: number) => {
		const drawing = new Drawing(60, 40).bar(1, 15, 20, 10, 10, 0).bar(4, 25 + wide, 20, 10, 10, 0);
		return bordersOf(drawing.bar(slit, 20 + wide / 2, 20, wide, 10, 0), 1);
	};
	expect(beside(4, 2)).toBeGreaterThan(1);
	expect(beside(255, 4)).toBeGreaterThan(1);
	expect(beside(255, 6)).toBe(0);
	expect(beside(0, 2)).toBe(0);
	expect(bordersOf(new Drawing(60, 40).bar(1, 15, 20, 10, 10, 0), 1)).toBeUndefined();
});

import { expect, test } from 'vitest';
import { CLASS_CODE } from '@/lib/material/classes';
import { measurePieces } from '@/lib/particles/measure';
import { readSpread } from '@/lib/particles/readSpread';
import { Drawing, flatSurface } from './shapes';

const PX_PER_MM = 8;
const { aluminium, brightCopper } = CLASS_CODE;

/** Sheet's share of the aluminium's area, by the pieces and by the sums of the spread. */
function sheetOf(drawing: Drawing) {
	const map = drawing.map();
	const surface = flatSurface(map.width, map.height, PX_PER_MM);
	const measured = measurePieces(map, surface);
	const { blocks } = readSpread(map, surface, 'model', measured);
	const sumOf = (of: (block: (typeof blocks)[number]) => number) => blocks.reduce((sum, block) => sum + of(block), 0);
	const pieces = measured.pieces.filter((piece) => piece.class === 'aluminium');
	const areaMm2 = sumOf((block) => block.areaMm2.aluminium);
	return {
		count: pieces.length,
		areaMm2,
		sheetMm2: sumOf((block) => block.sheetAreaMm2.aluminium),
		roundMm3: sumOf((block) => block.widthAreaMm3.aluminium),
		ofPieces: pieces.reduce((sum, piece) => sum + piece.sheetShare * piece.areaMm2, 0),
	};
}

test('wires of two breadths that touch are wire each, although as one piece their width is uneven', () => {
	const touching = new Drawing(300, 120).bar(aluminium, 100, 40, 120, 14, 0).bar(aluminium, 100, 51, 100, 8, 0);
	const { count, areaMm2, sheetMm2 } = sheetOf(touching);
	expect(count).toBe(1);
	// where the two meet a strip of pixels belongs to neither breadth
	expect(sheetMm2 / areaMm2).toBeLessThan(0.25);
});

test('a wire that leans on a flake is wire, and the flake is sheet', () => {
	const flake = sheetOf(new Drawing(300, 200).disc(aluminium, 80, 100, 60));
	const wire = sheetOf(new Drawing(300, 200).bar(aluminium, 160, 100, 120, 8, 0));
	const both = sheetOf(new Drawing(300, 200).disc(aluminium, 80, 100, 60).bar(aluminium, 160, 100, 120, 8, 0));
	expect(flake.sheetMm2 / flake.areaMm2).toBeGreaterThan(0.95);
	expect(wire.sheetMm2).toBeLessThan(0.05 * wire.areaMm2);
	expect(both.count).toBe(1);
	// as one long piece of uneven width it would be sheet all over; the wire's root in the flake counts to the flake
	expect(both.sheetMm2 / flake.sheetMm2).toBeGreaterThan(0.9);
	expect(both.sheetMm2 / flake.sheetMm2).toBeLessThan(1.15);
	expect(both.roundMm3).toBeGreaterThan(0.6 * wire.roundMm3);
});

test.each([0, 20, 45, 70])('a wire of even breadth is one part, at %i degrees', (turnDeg) => {
	for (const breadth of [5, 9, 16]) {
		const { areaMm2, sheetMm2 } = sheetOf(
			new Drawing(200, 200).bar(aluminium, 100, 100, 8 * breadth, breadth, turnDeg),
		);
		expect(sheetMm2 / areaMm2).toBeLessThan(0.15);
	}
});

test('sheet is a word for aluminium alone, and pieces and spread say the same area', () => {
	const { ofPieces, sheetMm2 } = sheetOf(
		new Drawing(300, 200)
			.disc(aluminium, 80, 60, 50)
			.bar(aluminium, 180, 150, 120, 10, 30)
			.disc(brightCopper, 200, 50, 60),
	);
	expect(ofPieces).toBeCloseTo(sheetMm2, 6);
	const copper = new Drawing(200, 200).disc(brightCopper, 100, 100, 60).map();
	const [piece] = measurePieces(copper, flatSurface(200, 200, PX_PER_MM)).pieces;
	expect(piece?.sheetShare).toBe(0);
});

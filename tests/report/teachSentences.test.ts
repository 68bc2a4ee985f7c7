import { expect, test } from 'vitest';
import { CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { surfaceAt } from '@/lib/photo/surfaceAt';
import { pieceSentence } from '@/lib/report/pieceSentences';
import { quickOutlines } from '@/lib/report/quickOutlines';
import { blankTaughtSentence, modelTaughtSentence, taughtCounts } from '@/lib/report/teachSentences';

/** Spaces that do not break, as plain ones. */
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

test('what was taught is counted by class', () => {
	expect(taughtCounts([])).toBe('Nothing taught yet.');
	expect(taughtCounts([{ class: 'insulation' }, { class: 'background' }, { class: 'insulation' }])).toBe(
		'3 spots: bare surface 1; insulation 2.',
	);
});

test('a photo of clean insulation says how much of it was called copper until now', () => {
	expect(plain(blankTaughtSentence(0.71))).toContain('71 % of it was called copper, bright or dull, before');
	expect(blankTaughtSentence(0.001)).toContain('Hardly any of it');
});

test('a piece is told with its size and a rough mass, a long one as what may be several', () => {
	const piece = {
		class: 'brightCopper',
		rings: [],
		areaMm2: 2,
		lengthMm: 4.1,
		widthMm: 0.52,
		massMg: { value: 7, low: 5.2, high: 9.4 },
		touchesEdge: false,
	} as const;
	expect(plain(pieceSentence(piece))).toBe('Copper, bright or dull: 4.1 mm long, 0.52 mm wide, about 7 mg (5 to 9).');
	expect(pieceSentence({ ...piece, lengthMm: 20 })).toContain('Pieces that touch are read as one.');
	expect(pieceSentence({ ...piece, class: 'insulation', touchesEdge: true })).toMatch(
		/Copper inside.+edge of the field/,
	);
	const { lengthMm: _, ...spot } = { ...piece, class: 'unjudged' as const };
	expect(pieceSentence(spot)).toContain('It counts for no class and widens the ranges.');
});

test('a quick look at a class map has the outlines of its classes on the photo, and leaves specks out', () => {
	const labels = new Uint8Array(100);
	for (let row = 2; row < 5; row++) labels.fill(CLASS_CODE.aluminium, row * 10 + 1, row * 10 + 4);
	for (let row = 6; row < 9; row++) labels.fill(UNJUDGED, row * 10 + 5, row * 10 + 8);
	labels[99] = CLASS_CODE.other;
	const map = { width: 10, height: 10, columnOffset: 3, rowOffset: 0, labels };
	expect(quickOutlines(map, 2, 0.25)).toEqual([
		{ class: 'aluminium', rings: [[14, 4, 14, 10, 8, 10, 8, 4]], areaMm2: 2.25, touchesEdge: false },
		{ class: 'unjudged', rings: [[22, 12, 22, 18, 16, 18, 16, 12]], areaMm2: 2.25, touchesEdge: false },
	]);
});

test('a kept field is the same field on a smaller copy of the photo', () => {
	const kept = {
		surface: 'mat',
		cornersPx: [100, 80, 900, 90, 880, 700, 110, 690],
		fieldWidthMm: 170,
		fieldHeightMm: 100,
	} as const;
	const [whole, half] = [surfaceAt(kept), surfaceAt(kept, 0.5)];
	expect(half.kind).toBe('mat');
	expect(half.pxPerMm).toBeCloseTo(whole.pxPerMm / 2, 10);
	expect(half.cornersPx[2].x).toBeCloseTo(440, 6);
});

test('whether the model follows the spots that photos are read with is said', () => {
	const told = (isUsed: boolean, isModelFitted: boolean) => modelTaughtSentence({ spots: [{}], isUsed, isModelFitted });
	expect(told(false, true)).toBeUndefined();
	expect(told(true, true)).toContain('the trained model was fitted to them');
	expect(told(true, false)).toContain('The trained model reads as before');
});

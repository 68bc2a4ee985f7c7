import { expect, test } from 'vitest';
import { CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { surfaceFromCorners } from '@/lib/photo/tray';
import { pieceAt, piecePicture } from '@/lib/report/piecePicture';

/** A field of 40 by 40 mm at 5 pixels a millimetre, that lies 10 pixels in from the photo's corner. */
const surface = surfaceFromCorners(
	[
		{ x: 10, y: 10 },
		{ x: 210, y: 10 },
		{ x: 210, y: 210 },
		{ x: 10, y: 210 },
	],
	40,
	40,
);

function picture() {
	const labels = new Uint8Array(200 * 200);
	const fill = (x: number, y: number, width: number, height: number, code: number) => {
		for (let row = y; row < y + height; row++) labels.fill(code, row * 200 + x, row * 200 + x + width);
	};
	fill(20, 30, 40, 10, CLASS_CODE.brightCopper);
	fill(100, 100, 20, 20, CLASS_CODE.insulation);
	fill(150, 20, 5, 5, UNJUDGED);
	const map = { width: 200, height: 200, columnOffset: 10, rowOffset: 10, labels };
	return piecePicture(map, surface, DEFAULT_MATERIAL, { widthPx: 220, heightPx: 220 });
}

test('a copper bar of 8 by 2 mm is found under the finger with its size', () => {
	const shown = picture();
	const at = pieceAt(shown, 10 + 40, 10 + 35, () => true);
	const piece = shown.pieces[at ?? -1];
	expect(piece?.class).toBe('brightCopper');
	expect(piece?.areaMm2).toBeCloseTo(16, 6);
	expect(piece?.widthMm).toBeGreaterThan(1.9);
	expect(piece?.widthMm).toBeLessThan(2.1);
	expect(piece?.massMg?.low).toBeLessThan(piece?.massMg?.value ?? 0);
});

test('nothing is under the finger on bare surface, nor where the class is switched off', () => {
	const shown = picture();
	expect(pieceAt(shown, 15, 15, () => true)).toBeUndefined();
	expect(pieceAt(shown, 50, 45, (name) => name !== 'brightCopper')).toBeUndefined();
});

test('what was not judged is outlined as such, without a mass', () => {
	const spot = picture().pieces.find((piece) => piece.class === 'unjudged');
	expect(spot?.areaMm2).toBeCloseTo(1, 6);
	expect(spot?.massMg).toBeUndefined();
	expect(spot?.rings).toEqual([[165, 30, 165, 35, 160, 35, 160, 30]]);
});

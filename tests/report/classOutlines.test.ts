import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { CLASS_CODE } from '@/lib/material/classes';
import type { Raster } from '@/lib/photo/raster';
import { classOutlines, pieceLetters } from '@/lib/report/classOutlines';
import { CLASS_STYLES } from '@/lib/report/classPalette';
import { fieldLabels, fieldPicture, fieldToPhoto, typicalWindow } from '@/lib/report/fieldPicture';

/** A small picture written out in digits. */
function drawn(...rows: readonly string[]) {
	return {
		codes: Uint8Array.from(rows.join(''), Number),
		width: rows[0]!.length,
		height: rows.length,
	};
}

/** Loops of the line in one class's colour. */
function loopsIn(svg: string, colour: string): readonly (readonly (readonly number[])[])[] {
	const path = new RegExp(`<path d="([^"]*)" stroke="${colour}"`).exec(svg)?.[1] ?? '';
	return path
		.split('Z')
		.filter(Boolean)
		.map((loop) =>
			loop
				.slice(1)
				.split('L')
				.map((point) => point.split(' ').map(Number)),
		);
}

/** Area that loops enclose, holes taken off (shoelace). */
function areaOf(loops: ReturnType<typeof loopsIn>): number {
	const area = (loop: (typeof loops)[number]) =>
		loop.reduce((sum, [x = 0, y = 0], i) => {
			const [nextX = 0, nextY = 0] = loop[(i + 1) % loop.length]!;
			return sum + (x * nextY - nextX * y) / 2;
		}, 0);
	return loops.reduce((sum, loop) => sum + area(loop), 0);
}

const COPPER = CLASS_STYLES.brightCopper.colour;

describe('outlines', () => {
	test('run round a piece and its hole', () => {
		const { codes, width, height } = drawn('00000', '01110', '01010', '01110', '00000');
		const loops = loopsIn(classOutlines(codes, width, height, 1, 0), COPPER);
		expect(loops).toHaveLength(2);
		expect(areaOf(loops)).toBe(8);
	});

	test('enclose as many pixels as the class has, whatever the picture', () => {
		const picture = fc.array(fc.constantFrom(0, 1, 2), { minLength: 48, maxLength: 48 });
		fc.assert(
			fc.property(picture, (cells) => {
				const loops = loopsIn(classOutlines(Uint8Array.from(cells), 8, 6, 1, 0), COPPER);
				expect(areaOf(loops)).toBe(cells.filter((cell) => cell === 1).length);
			}),
		);
	});

	test('smoothed, stay about as large and have no more points than steps', () => {
		const square = Array.from({ length: 40 }, (_, y) =>
			y < 10 || y > 29 ? '0'.repeat(40) : `${'0'.repeat(10)}${'1'.repeat(20)}${'0'.repeat(10)}`,
		);
		const { codes, width, height } = drawn(...square);
		const [loop] = loopsIn(classOutlines(codes, width, height, 1, 2), COPPER);
		// 80 steps round it, every second one kept; its corners are cut
		expect(loop).toHaveLength(40);
		const area = areaOf([loop ?? []]);
		expect(area).toBeLessThan(400);
		expect(area).toBeGreaterThan(390);
	});

	test('are white, black and the colour of the class with its dashes, from outside in', () => {
		const { codes, width, height } = drawn('0000', '0440', '0000');
		const svg = classOutlines(codes, width, height, 1, 0);
		expect(svg).toMatch(/stroke="#fff" stroke-width="5.00".+stroke="#000" stroke-width="3.00".+stroke="#D55E00"/);
		expect(svg).toContain('stroke-dasharray="1.00 2.00"');
	});

	test('carry letters at the middle of large pieces alone', () => {
		const { codes, width, height } = drawn('0000000000', '0111000003', '0111000000', '0111000000');
		expect(pieceLetters(codes, width, height, 4)).toEqual([{ letter: 'Cu', x: 0.25, y: 0.625 }]);
		expect(CLASS_CODE.brightCopper).toBe(1);
	});
});

describe('a picture of the field', () => {
	const photo: Raster = {
		width: 40,
		height: 30,
		channels: 3,
		colourSpace: 'srgb',
		// red grows to the right, green downwards
		data: Uint8Array.from(
			{ length: 3600 },
			(_, i) => [(Math.floor(i / 3) % 40) * 5, Math.floor(i / 120) * 5, 0][i % 3]!,
		),
	};
	// the field lies turned by a quarter on the photo: its top-left is the photo's top-right
	const corners = [35, 5, 35, 25, 5, 25, 5, 5];
	const window = { xMm: 0, yMm: 0, widthMm: 20, heightMm: 30, pxPerMm: 1 };

	test('lies upright, however the photo was held', () => {
		const mmToPx = fieldToPhoto(corners, 20, 30);
		const picture = fieldPicture(photo, mmToPx, window);
		const at = (x: number, y: number) => [picture[3 * (y * 20 + x)]!, picture[3 * (y * 20 + x) + 1]!];
		// field (0.5, 0.5) mm is photo (34.5, 5.5) px: the centre of pixel 34, 5
		expect(at(0, 0)).toEqual([170, 25]);
		expect(at(19, 29)).toEqual([25, 120]);
	});

	test('picks class codes and never blends them', () => {
		const labels = { data: Uint8Array.from({ length: 1200 }, (_, i) => (i % 40 < 20 ? 1 : 4)), width: 40, height: 30 };
		const codes = fieldLabels(labels, fieldToPhoto(corners, 20, 30), { ...window, pxPerMm: 3 });
		expect(new Set(codes)).toEqual(new Set([1, 4]));
		expect(codes.filter((code) => code === 1).length).toBe(codes.length / 2);
	});

	test('the close-up is taken where the cover is nearest to that of the whole field', () => {
		// left half bare, right half full but for its last quarter, half covered like the whole
		const codes = Uint8Array.from({ length: 80 * 10 }, (_, i) => {
			const x = i % 80;
			return x < 40 ? 0 : x < 60 ? 1 : x % 2;
		});
		const field = { xMm: 0, yMm: 0, widthMm: 80, heightMm: 10, pxPerMm: 1 };
		const found = typicalWindow(codes, field, { widthMm: 20, heightMm: 10, pxPerMm: 5 });
		// 30 of 80 are covered; from 25 on 5 of 20 are, from 30 on 10 of 20: as near, so the first
		expect(found).toEqual({ xMm: 25, yMm: 0, widthMm: 20, heightMm: 10, pxPerMm: 5 });
	});
});

import { expect, test } from 'vitest';
import { judgeShot } from '@/lib/photo/judgeShot';
import { locateSurface } from '@/lib/photo/locateSurface';
import { shotSentence, shotTitle } from '@/lib/report/shotSentences';
import { drawMat, type MatShot } from './drawMat';

const COPPER = [0.5, 0.25, 0.15] as const;
const BLACK = [0.02, 0.02, 0.02] as const;

/** Square pieces that cover `share` of the field: `side` mm of every 8. */
const pieces = (side: number) => (x: number, y: number) => {
	if (x % 8 > side || y % 8 > side) return undefined;
	return (Math.floor(x / 8) + Math.floor(y / 8)) % 2 ? COPPER : BLACK;
};

const look = (shot: MatShot) => judgeShot(drawMat({ spread: pieces(4), ...shot }).raster, 1, 0.2);

test('a good picture: the mat is drawn as found, the cover is told, nothing is to be done better', () => {
	const seen = look({});
	expect(seen.mat?.marks).toHaveLength(4);
	for (const { x, y } of seen.mat?.field ?? []) {
		expect(x).toBeGreaterThan(0);
		expect(x).toBeLessThan(1);
		expect(y).toBeGreaterThan(0);
		expect(y).toBeLessThan(1);
	}
	expect(seen.coverage).toBeCloseTo(0.25, 1); // 4 of 8 mm both ways
	expect(seen.advice).toBeUndefined();
	expect(shotTitle(seen)).toBe('Good picture');
	expect(shotSentence(seen)).toContain('Roughly 25\u00a0% of the field is covered.');
	expect(shotSentence({ ...seen, coverage: 0.48 })).toContain('50\u00a0% of the field is covered; a third is best');
});

test('one thing to do better, the worst first', () => {
	expect(look({ blurPx: 2.2 }).advice?.code).toBe('blurred');
	expect(look({ spread: pieces(7) }).advice?.code).toBe('dense');
});

test('a shadow on the grey patches is told while the picture can be taken again', () => {
	const at = (off: number) => judgeShot(drawMat({ spread: pieces(4) }).raster, 1, 0.2, undefined, () => off);
	expect(at(8.7).advice?.message).toContain('keep shadows off the patches');
	expect(at(2).advice).toBeUndefined();
});

test('a mark covered: no mat, and what to do', () => {
	const seen = look({ missing: [2] });
	expect(seen.mat).toBeUndefined();
	expect(shotTitle(seen)).toBe('No mat found');
	expect(shotSentence(seen)).toMatch(/Only three of the mat's four corner marks/);
	// where it is too dark to see marks, that they are missing would send one to look for them
	expect(look({ missing: [2], light: () => [0.03, 0.03, 0.03] }).advice?.code).toBe('too-dark');
	// and where it is too blurred, that they are covered, in the full reading as well
	const { raster } = drawMat({ spread: pieces(4), missing: [2], blurPx: 6 });
	const blurred = judgeShot(raster, 1, 0.2).advice;
	expect(blurred?.code).toBe('blurred');
	expect(() => locateSurface(raster, { surface: 'mat' })).toThrow(expect.objectContaining({ hint: blurred?.message }));
});

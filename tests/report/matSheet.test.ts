import { expect, test } from 'vitest';
import { MAT_SIZES, matGeometry } from '@/lib/photo/matGeometry';
import { matSheetPdf } from '@/lib/report/matSheet';

const POINTS_PER_MM = 72 / 25.4;

test.each(MAT_SIZES)('the %s mat prints on one page of its true size', async (size) => {
	const pdf = Buffer.from(await matSheetPdf(size)).toString('latin1');
	expect(pdf.startsWith('%PDF-')).toBe(true);
	const boxes = [...pdf.matchAll(/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)];
	expect(boxes).toHaveLength(1);
	const { sheetWidthMm, sheetHeightMm } = matGeometry(size);
	const [, width, height] = boxes[0]!.map(Number) as [number, number, number];
	// a hundredth of a millimetre
	expect(Math.abs(width / POINTS_PER_MM - sheetWidthMm)).toBeLessThan(0.01);
	expect(Math.abs(height / POINTS_PER_MM - sheetHeightMm)).toBeLessThan(0.01);
});

test('the same mat is the same file', async () => {
	expect(Buffer.from(await matSheetPdf('A5')).equals(Buffer.from(await matSheetPdf('A5')))).toBe(true);
});

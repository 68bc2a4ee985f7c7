import { expect, test } from 'vitest';
import { sheetShare } from '@/lib/particles/sheetShare';

test('a long piece of even width is wire, whatever its width', () => {
	for (const meanWidthMm of [0.3, 1, 2]) {
		expect(sheetShare({ meanWidthMm, lengthMm: 4 * meanWidthMm, widthScatter: 0.05 })).toBe(0);
	}
});

test('a piece about as broad as long is sheet', () => {
	expect(sheetShare({ meanWidthMm: 2, lengthMm: 2.4, widthScatter: 0.05 })).toBe(1);
});

test('a long piece of uneven width is sheet', () => {
	expect(sheetShare({ meanWidthMm: 1, lengthMm: 5, widthScatter: 0.4 })).toBe(1);
});

test('a doubtful piece counts partly as each', () => {
	const share = sheetShare({ meanWidthMm: 1, lengthMm: 2, widthScatter: 0.05 });
	expect(share).toBeGreaterThan(0);
	expect(share).toBeLessThan(1);
});

import { expect, test } from 'vitest';
import { blankDoubt, checkText } from '@/lib/report/checkText';

test('a blank whose photo reads copper says what is taken for wrong calls; one that reads none says nothing', () => {
	expect(blankDoubt({ value: 0.986, low: 0.974, high: 0.992 })?.replaceAll('\u00a0', ' ')).toMatch(
		/^Its photo by itself reads copper 98\.6 % \(97\.4 to 99\.2\)\. .*remove this check\.$/,
	);
	expect(blankDoubt({ value: 0.001, low: 0, high: 0.013, belowDetectionLimit: true })).toBeUndefined();
});

test('a check shows all digits that were typed, with one decimal sign whichever was typed', () => {
	expect(checkText({ kind: 'displacement', dry: '100,0', suspended: '88,35', waterC: '38' })).toBe(
		'Water displacement: 100.0 g dry, 88.35 g hung in water of 38 °C.',
	);
	expect(checkText({ kind: 'displacement', dry: '100', displacedMl: '12', stepMl: '0,5' })).toBe(
		'Water displacement: 100 g dry pushed up 12 mL in steps of 0.5 mL.',
	);
});

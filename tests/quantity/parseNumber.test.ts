import fc from 'fast-check';
import { expect, test } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { parseNumber, readNumber } from '@/lib/quantity/parseNumber';

test.each([
	['12,4', 12.4],
	[' 12.4 kg', 12.4],
	['12,4kg ', 12.4],
	['1 240', 1240],
	['3 ,1 kg', 3.1],
	['1\u202f240,5', 1240.5],
	['.5', 0.5],
	['0,240', 0.24],
	['12.345', 12.345],
	['+3', 3],
	['\u22123', -3],
])('"%s" is read as %d', (text, number) => {
	expect(parseNumber(text, ['kg', 'g'])).toBe(number);
});

test.each([
	'',
	'kg',
	'1.240,5',
	'1,240,000',
	'1,240',
	'12 4',
	'12, 4',
	'1 ,240',
	'twelve',
	'12.4.1',
	'1e3',
	'NaN',
	'0x10',
	'12 kg 3',
])('"%s" is not taken for a number', (text) => {
	expect(parseNumber(text, ['kg'])).toBeUndefined();
});

test('a comma before three digits is refused with both readings spelt out', () => {
	const refusal = () => readNumber('1,240', 'The gross weight', ['lb']);
	expect(refusal).toThrow('The gross weight "1,240" can be read in two ways.');
	try {
		refusal();
	} catch (error) {
		expect(error).toBeInstanceOf(TrayError);
		expect((error as TrayError).hint).toBe('Write "1240" or "1.240", whichever is meant.');
		expect((error as TrayError).code).toBe('number-unreadable');
	}
});

test('an empty field and a word are refused with a sentence each', () => {
	expect(() => readNumber('  ', 'The tare')).toThrow('The tare is empty.');
	expect(() => readNumber('heavy', 'The tare')).toThrow('The tare "heavy" is not a number.');
});

test('any plain number survives being typed with a point, a comma or its unit', () => {
	fc.assert(
		fc.property(fc.integer({ min: -999999, max: 999999 }), fc.integer({ min: 0, max: 99 }), (whole, cents) => {
			const text = `${whole}.${String(cents).padStart(2, '0')}`;
			expect(parseNumber(text)).toBe(Number(text));
			expect(parseNumber(text.replace('.', ','))).toBe(Number(text));
			expect(parseNumber(` ${text} kg `, ['kg'])).toBe(Number(text));
		}),
		{ seed: 3 },
	);
});

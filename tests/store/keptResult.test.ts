import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readResult, writeResult } from '@/lib/store/keptResult';

test('whatever a sum comes to is read back as it was, endless and meaningless numbers included', () => {
	// JSON knows one nought
	const number = fc.double().map((x) => x + 0);
	const key = fc.constantFrom('value', 'low', 'high', 'number');
	const values = [number, fc.string(), fc.boolean(), fc.constantFrom(null, Infinity, -Infinity, Number.NaN)];
	fc.assert(
		fc.property(fc.object({ key, values, maxDepth: 3 }), (result) => {
			expect(readResult(writeResult(result))).toEqual(result);
		}),
	);
});

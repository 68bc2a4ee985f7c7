import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Store } from '@/lib/store/database';
import { keptInFull, keptOr, readResult, writeResult } from '@/lib/store/keptResult';
import { temporaryStore } from './temporaryStore';

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

test('who asks while a result is being kept gets it, though the database answers with what stood there before', async () => {
	const store = await temporaryStore();
	let times = 0;
	const workOut = async () => ++times;
	const execute = () => keptInFull().then(() => []);
	const early = { db: { selectFrom: () => ({ select: () => ({ where: () => ({ execute }) }) }) } } as unknown as Store;
	let second: Promise<number> | undefined;
	const also = async () => {
		second = keptOr(early, 'sum', workOut);
	};
	expect(await keptOr(store, 'sum', workOut, { also })).toBe(1);
	await keptInFull();
	expect([await second, times]).toEqual([1, 1]);
});

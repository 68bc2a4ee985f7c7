import { expect, test } from 'vitest';
import { readingChoiceSchema } from '@/lib/store/entries';
import { getMatPrints, matScaleOf, saveMatPrint, setSetting } from '@/lib/store/settings';
import { temporaryStore } from './temporaryStore';

const choice = readingChoiceSchema.parse({});
const print = (size: 'A5' | 'A4' | 'Letter', checkLineMm: number) => ({ size, checkLineMm, measuredOn: '2026-03-05' });

test('each size of the mat has a check of its own, and one that was not measured counts as drawn', async () => {
	const store = await temporaryStore();
	expect(await matScaleOf(store, choice)).toBe(1);
	await saveMatPrint(store, print('A5', 97));
	await saveMatPrint(store, print('A4', 103));
	await saveMatPrint(store, print('A5', 98));
	expect(await getMatPrints(store)).toEqual({ A5: print('A5', 98), A4: print('A4', 103) });
	expect(await matScaleOf(store, choice)).toEqual({ A5: 0.98, A4: 1.03 });
	// what was said with a photo goes before what was measured here
	expect(await matScaleOf(store, { ...choice, printedScale: 0.9 })).toBe(0.9);
});

test('a check that an earlier version kept for all sizes counts for the one that it was measured on, until that is measured anew', async () => {
	const store = await temporaryStore();
	await setSetting(store, 'matPrint', JSON.stringify(print('A4', 96)));
	expect(await matScaleOf(store, choice)).toEqual({ A4: 0.96 });
	await saveMatPrint(store, print('A5', 101));
	expect(await matScaleOf(store, choice)).toEqual({ A4: 0.96, A5: 1.01 });
	await saveMatPrint(store, print('A4', 100));
	expect(await matScaleOf(store, choice)).toEqual({ A4: 1, A5: 1.01 });
});

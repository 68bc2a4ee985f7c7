import { expect, test } from 'vitest';
import { carryOverWarning } from '@/lib/report/carryOver';
import type { WorkedRun } from '@/lib/store/analysis';
import { warningsOfFile } from '@/lib/store/boardWarnings';
import type { RunBoard } from '@/lib/store/workedRun';

test('only the first run after a change without washing through carries the warning', () => {
	expect(carryOverWarning(undefined)).toBeUndefined();
	expect(carryOverWarning({ strokeLengthMm: 14 })).toBeUndefined();
	expect(carryOverWarning({ firstAfterChange: true })).toMatchObject({
		code: 'carry-over',
		message: expect.stringContaining('from before is in these figures'),
	});
});

test('files about a run as a whole tell it first', () => {
	const sorting = { learned: [], piles: [], idle: [], partial: [], points: [] };
	const worked = { account: { warnings: [{ code: 'one', message: 'One.' }] }, checked: {}, sorting };
	const board = (firstAfterChange: boolean) => ({ run: { settings: { firstAfterChange } }, products: [] });
	const codes = (first: boolean) =>
		// no more of either is looked at
		warningsOfFile(board(first) as unknown as RunBoard, worked as unknown as WorkedRun).map(({ code }) => code);
	expect(codes(true)).toEqual(['carry-over', 'one']);
	expect(codes(false)).toEqual(['one']);
});

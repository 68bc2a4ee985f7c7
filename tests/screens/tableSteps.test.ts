import { expect, test } from 'vitest';
import { nextBin, tableAddress, tableStepOf } from '@/app/_forms/tableSteps';
import type { PhotoState } from '@/lib/store/photos';

const READ: PhotoState = { kind: 'graded', analysisKey: 'k' };
const REFUSED: PhotoState = { kind: 'refused', message: '', hint: '' };
const SET_ASIDE: PhotoState = { kind: 'held', why: 'setAside' };

const bin = (id: string, spreads: number, weighed: boolean, ...states: PhotoState[]) => ({
	id,
	spreads: Array.from({ length: spreads }, () => ({
		photos: (states.length === 0 ? [READ] : states).map((state) => ({ state })),
	})),
	...(weighed ? { weighing: {} } : {}),
});

test('a bin is photographed, then weighed, then done', () => {
	expect(tableStepOf(bin('a', 0, false))).toBe('shoot');
	expect(tableStepOf(bin('a', 0, true))).toBe('shoot');
	expect(tableStepOf(bin('a', 1, false))).toBe('weigh');
	expect(tableStepOf(bin('a', 3, true))).toBe('done');
	expect(tableAddress('r', bin('a', 1, false))).toBe('/runs/r/table/a/weigh');
	expect(tableAddress('r', undefined)).toBe('/runs/r/table');
});

test('the next bin is the next in line with something left to do, the same one never', () => {
	const bins = [bin('a', 0, false), bin('b', 1, true), bin('c', 1, false)];
	expect(nextBin(bins)?.id).toBe('a');
	expect(nextBin(bins, 'a')?.id).toBe('c');
	expect(nextBin(bins, 'c')?.id).toBe('a');
	expect(nextBin([bin('a', 0, false)], 'a')).toBeUndefined();
	expect(nextBin([bin('a', 1, true)])).toBeUndefined();
});

test('a bin of which no photo could be read is not photographed, weighed or not', () => {
	expect(tableStepOf(bin('a', 2, false, REFUSED))).toBe('unread');
	expect(tableStepOf(bin('a', 1, true, SET_ASIDE, REFUSED))).toBe('unread');
	expect(tableStepOf(bin('a', 1, true, REFUSED, READ))).toBe('done');
	expect(tableStepOf(bin('a', 1, true, { kind: 'held', why: 'stopped' }))).toBe('done');
	expect(tableAddress('r', bin('a', 1, false, REFUSED))).toBe('/runs/r/table/a');
	expect(nextBin([bin('a', 1, true), bin('b', 1, true, REFUSED)])?.id).toBe('b');
	// left out one and all, it is photographed as if for the first time
	expect(tableStepOf(bin('a', 1, true, SET_ASIDE))).toBe('shoot');
});

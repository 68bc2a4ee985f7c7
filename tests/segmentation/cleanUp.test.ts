import { expect, test } from 'vitest';
import { cleanUp } from '@/lib/segmentation/cleanUp';
import { thinParts } from '@/lib/segmentation/thinParts';
import { Drawing, digits } from '../particles/shapes';

function cleaned(rows: readonly string[], inside?: readonly string[]): string[] {
	const { labels, width, height } = digits(rows);
	const field = inside ? digits(inside).labels : new Uint8Array(labels.length).fill(1);
	const out = cleanUp(labels, field, width, height, 9, 6);
	return rows.map((_, row) =>
		[...out.subarray(row * width, (row + 1) * width)].map((label) => (label === 0 ? '.' : label)).join(''),
	);
}

test('a speck smaller than the lens resolves takes the class around it', () => {
	expect(cleaned(['444444', '441444', '444444'])).toEqual(['444444', '444444', '444444']);
	expect(cleaned(['......', '..1...', '......'])).toEqual(['......', '......', '......']);
});

test('a short strand of four pixels stays', () => {
	const rows = ['......', '.1111.', '......'];
	expect(cleaned(rows)).toEqual(rows);
});

test('lost colour inside a piece becomes the piece; between two it stays unjudged', () => {
	expect(cleaned(['44444', '49994', '49994', '44444'])).toEqual(['44444', '44444', '44444', '44444']);
	expect(cleaned(['4499..', '4499..', '4499..', '4499..'])).toEqual(['4499..', '4499..', '4499..', '4499..']);
});

test('a large patch of lost colour stays unjudged even inside a piece', () => {
	const rows = ['444444', '499994', '499994', '444444'];
	expect(cleaned(rows)).toEqual(rows);
});

test('what lies outside the field neither changes nor counts', () => {
	expect(cleaned(['1114', '1914', '1114'], ['1111', '1111', '....'])[2]).toBe('1114');
});

test('thin parts are those that hold no square of five pixels', () => {
	const drawing = new Drawing(60, 40).bar(1, 30, 10, 50, 4, 0).bar(1, 30, 28, 50, 6, 0);
	const thin = thinParts(drawing.labels, 60, 40);
	expect(thin[10 * 60 + 30]).toBe(1);
	expect(thin[28 * 60 + 30]).toBe(0);
	expect(thin[20 * 60 + 30]).toBe(0);
});

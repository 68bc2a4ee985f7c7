import fc from 'fast-check';
import { expect, test } from 'vitest';
import { traceOutlines } from '@/lib/particles/traceOutlines';
import { labelRegions } from '@/lib/segmentation/labelRegions';

/** Pixels inside a closed ring by the shoelace formula; negative for a hole. */
function signedArea(ring: readonly number[]): number {
	let twice = 0;
	for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
		twice += ring[j]! * ring[i + 1]! - ring[i]! * ring[j + 1]!;
	}
	return twice / 2;
}

test('a block of pixels has four corners, a hole is a ring of its own', () => {
	// prettier-ignore
	const ids = Int32Array.from([0, 0, 0, 0, 0, 0, 1, 1, 1, 0, 0, 1, 0, 1, 0, 0, 1, 1, 1, 0]);
	const [rings] = traceOutlines(ids, 1, 5, 4);
	expect(rings?.map((ring) => ring.length)).toEqual([8, 8]);
	expect(rings?.map(signedArea)).toEqual([9, -1]);
});

test('pixels that touch by a corner share one ring', () => {
	const [rings] = traceOutlines(Int32Array.from([1, 0, 0, 1]), 1, 2, 2);
	expect(rings).toHaveLength(1);
	expect(rings?.map(signedArea)).toEqual([2]);
});

test('the rings of every region enclose exactly its pixels', () => {
	const picture = fc.record({ width: fc.integer({ min: 1, max: 9 }), height: fc.integer({ min: 1, max: 9 }) });
	fc.assert(
		fc.property(
			picture.chain(({ width, height }) =>
				fc.tuple(
					fc.constant(width),
					fc.uint8Array({ min: 0, max: 2, minLength: width * height, maxLength: width * height }),
				),
			),
			([width, labels]) => {
				const height = labels.length / width;
				const { ids, count } = labelRegions(labels, width, height);
				const rims = traceOutlines(ids, count, width, height);
				const areas = rims.map((rings) => rings.reduce((sum, ring) => sum + signedArea(ring), 0));
				expect(areas).toEqual(Array.from({ length: count }, (_, k) => ids.filter((id) => id === k + 1).length));
			},
		),
	);
});

test('a slanting bar loses its steps and keeps its ends', () => {
	const size = 40;
	const ids = new Int32Array(size * size);
	for (let x = 2; x < 38; x++) for (let y = 0; y < 4; y++) ids[(Math.floor(x / 3) + y + 10) * size + x] = 1;
	const [whole] = traceOutlines(ids, 1, size, size);
	const [thin] = traceOutlines(ids, 1, size, size, 1);
	expect(thin?.[0]?.length).toBeLessThan((whole?.[0]?.length ?? 0) / 3);
	// two long sides of 36 px, each off by less than the tolerance
	expect(Math.abs(signedArea(thin?.[0] ?? []) - signedArea(whole?.[0] ?? []))).toBeLessThan(36);
});

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { labelRegions } from '@/lib/segmentation/labelRegions';
import { digits } from '../particles/shapes';
import { imageReference } from '../reference/imageComponents';

/** The obvious way: pour paint from each pixel that has none yet. */
function slowRegions(labels: Uint8Array, width: number, any: boolean, corners: boolean): number[] {
	const ids = new Array<number>(labels.length).fill(0);
	let count = 0;
	for (let seed = 0; seed < labels.length; seed++) {
		if (labels[seed] === 0 || ids[seed] !== 0) continue;
		count++;
		const open = [seed];
		ids[seed] = count;
		for (let at = open.pop(); at !== undefined; at = open.pop()) {
			for (let j = 0; j < labels.length; j++) {
				const dx = Math.abs((j % width) - (at % width));
				const dy = Math.abs(Math.floor(j / width) - Math.floor(at / width));
				const near = corners ? Math.max(dx, dy) === 1 : dx + dy === 1;
				if (!near || ids[j] !== 0 || labels[j] === 0 || (!any && labels[j] !== labels[at])) continue;
				ids[j] = count;
				open.push(j);
			}
		}
	}
	return ids;
}

test('pieces of the small reference mask are those of scipy, with corners and without', () => {
	const { inputs, expected } = imageReference('k.components.small') as unknown as {
		inputs: { mask: number[][] };
		expected: { n4: number; n8: number; sizes4: number[]; sizes8: number[] };
	};
	const mask = Uint8Array.from(inputs.mask.flat());
	for (const [neighbours, count, sizes] of [
		[4, expected.n4, expected.sizes4],
		[8, expected.n8, expected.sizes8],
	] as const) {
		const regions = labelRegions(mask, 8, 6, 'sameLabel', neighbours);
		expect(regions.count).toBe(count);
		const found = Array.from({ length: count }, (_, k) => regions.ids.filter((id) => id === k + 1).length);
		expect(found.sort((a, b) => a - b)).toEqual(sizes);
	}
});

test('a copper wire on a sleeve is one piece of each class, and one heap of everything', () => {
	const { labels, width, height } = digits(['444444', '.1111.', '444444']);
	expect(labelRegions(labels, width, height).count).toBe(3);
	expect(labelRegions(labels, width, height, 'anyLabel').count).toBe(1);
});

test('labels that do not fill the picture are refused', () => {
	expect(() => labelRegions(new Uint8Array(5), 3, 2)).toThrow('3 x 2 pixels expected');
});

test('the fast way finds what pouring paint finds', () => {
	fc.assert(
		fc.property(
			fc.integer({ min: 1, max: 10 }),
			fc.integer({ min: 1, max: 10 }),
			fc.infiniteStream(fc.nat(2)),
			fc.boolean(),
			fc.boolean(),
			(w, h, s, any, corners) => {
				const labels = Uint8Array.from({ length: w * h }, () => s.next().value);
				const fast = labelRegions(labels, w, h, any ? 'anyLabel' : 'sameLabel', corners ? 8 : 4);
				expect([...fast.ids]).toEqual(slowRegions(labels, w, any, corners));
			},
		),
		{ numRuns: 200 },
	);
});

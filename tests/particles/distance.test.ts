import fc from 'fast-check';
import { expect, test } from 'vitest';
import { distanceToOtherLabel } from '@/lib/particles/distance';
import { imageReference } from '../reference/imageComponents';
import { digits } from './shapes';

/** The obvious way: look at every pixel with another label. */
function slowDistance(labels: Uint8Array, width: number, height: number): number[] {
	return Array.from(labels, (label, i) => {
		if (label === 0) return 0;
		let nearest = Number.POSITIVE_INFINITY;
		for (let j = 0; j < width * height; j++) {
			if (labels[j] === label) continue;
			nearest = Math.min(nearest, Math.hypot((i % width) - (j % width), Math.floor(i / width) - Math.floor(j / width)));
		}
		return nearest;
	});
}

test('distances of the small reference mask are those of scipy', () => {
	const { inputs, expected } = imageReference('k.edt.small') as unknown as {
		inputs: { mask: number[][] };
		expected: { edt: number[][] };
	};
	const mask = Uint8Array.from(inputs.mask.flat());
	const distance = distanceToOtherLabel(mask, inputs.mask[0]!.length, inputs.mask.length);
	for (const [i, value] of expected.edt.flat().entries()) expect(distance[i]).toBeCloseTo(value, 6); // single precision
});

test('a bar five pixels wide has its ridge at 3, one of four at 2', () => {
	const { expected } = imageReference('k.edt.bar') as unknown as {
		expected: { ridge_odd: number; ridge_even: number };
	};
	const ridge = (rows: number) => {
		const { labels, width, height } = digits(['.........', ...new Array<string>(rows).fill('111111111'), '.........']);
		return Math.max(...distanceToOtherLabel(labels, width, height));
	};
	expect(ridge(5)).toBe(expected.ridge_odd);
	expect(ridge(4)).toBe(expected.ridge_even);
});

test('touching pieces of two classes keep their own widths', () => {
	const { labels, width, height } = digits(['......', '111222', '111222', '......']);
	expect([...distanceToOtherLabel(labels, width, height)].slice(6, 18)).toEqual([1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]);
});

test('a label that fills the picture is nowhere near an edge', () => {
	expect([...distanceToOtherLabel(new Uint8Array(6).fill(1), 3, 2)]).toEqual(
		new Array(6).fill(Number.POSITIVE_INFINITY),
	);
});

test('labels that do not fill the picture are refused', () => {
	expect(() => distanceToOtherLabel(new Uint8Array(5), 3, 2)).toThrow('3 x 2 pixels expected');
});

test('the fast way finds what looking at every pixel finds', () => {
	fc.assert(
		fc.property(
			fc.integer({ min: 1, max: 14 }),
			fc.integer({ min: 1, max: 14 }),
			fc.infiniteStream(fc.nat(2)),
			(w, h, s) => {
				const labels = Uint8Array.from({ length: w * h }, () => s.next().value);
				const fast = distanceToOtherLabel(labels, w, h);
				for (const [i, value] of slowDistance(labels, w, h).entries()) {
					if (value === Number.POSITIVE_INFINITY) expect(fast[i]).toBe(value);
					else expect(fast[i]).toBeCloseTo(value, 5);
				}
			},
		),
		{ numRuns: 200 },
	);
});

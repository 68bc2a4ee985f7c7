import fc from 'fast-check';
import { expect, test } from 'vitest';
import { expectationOf, slowly } from '@/lib/segmentation/expectShares';

const part = fc.double({ min: 0.001, max: 1, noNaN: true });

test('what the kernel expects of each colour is what the sum written out expects', () => {
	fc.assert(
		fc.property(
			fc.integer({ min: 1, max: 9 }).chain((fours) =>
				fc.record({
					weights: fc.array(part, { minLength: 4 * fours, maxLength: 4 * fours }),
					places: fc.array(
						fc.record({ pixels: part, density: fc.array(part, { minLength: 4 * fours, maxLength: 4 * fours }) }),
						{ minLength: 1, maxLength: 40 },
					),
				}),
			),
			({ weights, places }) => {
				const pixels = Float64Array.from(places, (place) => place.pixels);
				const density = Float64Array.from(places.flatMap((place) => place.density));
				const [fast, slow] = [new Float64Array(weights.length), new Float64Array(weights.length)];
				expectationOf(pixels, density, weights.length)(Float64Array.from(weights), fast);
				slowly(pixels, density, Float64Array.from(weights), slow);
				// the kernel counts in 32-bit floats
				for (const [c, value] of slow.entries()) expect(Math.abs(fast[c]! / value - 1)).toBeLessThan(1e-4);
			},
		),
	);
});

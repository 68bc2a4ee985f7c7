import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { type Densities, densitiesOf, densitiesSlowly } from '@/lib/segmentation/colourDensities';
import { coloursOf } from '@/lib/segmentation/lookupTable';

/** All bytes one after the other: what stands behind the last density is nought in both. */
function bytesOf({ first, colour, density }: Densities): Buffer {
	return Buffer.concat([first, colour, density].map(({ buffer }) => new Uint8Array(buffer)));
}

test('the kernel gives the densities of going colour by colour, bit by bit', () => {
	const random = seededRandom(5, 'densities');
	const all = coloursOf([], DEFAULT_MATERIAL).map(({ ellipsoid }) => ellipsoid);
	const cielab = Float64Array.from({ length: 3 * 1100 }, (_, i) => 120 * random.uniform() - (i % 3 === 0 ? 0 : 60));
	// odd and even numbers of colours
	for (const colours of [all, all.slice(1), all.slice(0, 1)]) {
		const [ours, twin] = [densitiesOf(cielab, colours), densitiesSlowly(cielab, colours)];
		expect(bytesOf(ours).equals(bytesOf(twin))).toBe(true);
	}
});

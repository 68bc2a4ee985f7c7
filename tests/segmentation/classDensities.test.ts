import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { sumByKernel, sumSlowly, type Taking } from '@/lib/segmentation/classDensities';
import { coloursOf } from '@/lib/segmentation/lookupTable';

const CLASSES = 6;
/** Numbers a place. */
const EACH = CLASSES + 1;

/** Sums of all places one after the other, and which of them are near. */
function gathered(places: number, sum: (take: Taking) => void) {
	const [sums, near] = [new Float64Array(EACH * places), new Uint8Array(places)];
	sum((first, count, someSums, someNear) => {
		sums.set(someSums.subarray(0, EACH * count), EACH * first);
		near.set(someNear.subarray(0, count), first);
	});
	return { sums, near };
}

test('the kernel sums densities by class as going colour by colour does', () => {
	const random = seededRandom(5, 'class densities');
	const places = 1100;
	const cielab = Float64Array.from({ length: 3 * places }, (_, i) => 120 * random.uniform() - (i % 3 === 0 ? 0 : 60));
	const all = coloursOf([], DEFAULT_MATERIAL).map((colour) => ({ ...colour, weight: random.uniform() }));
	// no colour of the surface's, classes with odd and even numbers of them
	for (const colours of [all, all.slice(1), all.slice(0, 1)]) {
		const ours = gathered(places, (take) => sumByKernel(cielab, colours, CLASSES, 3, take));
		const twin = gathered(places, (take) => sumSlowly(cielab, colours, CLASSES, 3, take));
		expect(ours.near).toEqual(twin.near);
		expect(new Set(ours.near)).toEqual(new Set([0, 1]));
		// powers of e below e^-700 are taken as that, which no sum of what is near feels
		const least = 1e-290;
		for (const [k, sum] of ours.sums.entries())
			expect(Math.abs(sum - twin.sums[k]!)).toBeLessThanOrEqual(1e-13 * twin.sums[k]! + least);
	}
});

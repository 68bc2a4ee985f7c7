import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readSpread } from '@/lib/particles/readSpread';
import { cutFacesAdd, seenTooLarge } from '@/lib/particles/slantedView';
import reference from '../reference/geometry.json';
import { Drawing, flatSurface } from './shapes';

/** So far up that nothing on the surface is nearer to the lens. */
const FAR_MM = 1e12;

test('a long lying wire shows 1 + t^2/2 of width times area', () => {
	const { inputs, expected } = reference['c.slant'];
	for (const [i, slant] of inputs.t.entries())
		expect(seenTooLarge('brightCopper', slant, 0.5, 0, FAR_MM)).toBeCloseTo(expected[i]!, 9);
});

/** How far the two cut faces of a piece of height one stick out on the mean, over leans up to `lean` and all directions of a look aslant. */
function sticksOut(slant: number, lean: number): number {
	const steps = 400;
	let sum = 0;
	for (let k = 0; k < steps; k++) {
		const along = slant * Math.cos((2 * Math.PI * (k + 0.5)) / steps);
		for (let m = 0; m < steps; m++) {
			const own = lean * ((2 * (m + 0.5)) / steps - 1);
			sum += Math.max(0, own + along) + Math.max(0, own - along);
		}
	}
	return sum / steps ** 2;
}

test('cut faces add what their shadows do, summed over leans and directions', () => {
	for (const [slant, lean] of [
		[0.2, 0.5],
		[0.5, 0.5],
		[0.8, 0.5],
		[3, 0.2],
	] as const)
		expect(cutFacesAdd(slant, lean)).toBeCloseTo(sticksOut(slant, lean) - sticksOut(0, lean), 4);
});

test('upright faces add 2 t / pi, leaning ones less and in the square of a small slant', () => {
	expect(cutFacesAdd(0.3, 1e-6)).toBeCloseTo((2 * 0.3) / Math.PI, 5);
	expect(cutFacesAdd(0.2)).toBeCloseTo(4 * cutFacesAdd(0.1), 12);
	fc.assert(
		fc.property(fc.double({ min: 0, max: 2, noNaN: true }), (slant) => {
			expect(cutFacesAdd(slant)).toBeLessThanOrEqual((2 * slant) / Math.PI + 1e-12);
		}),
	);
});

test('a short wire shows its ends as well: the shadow of a cylinder, summed over directions', () => {
	const [d, length, slant] = [1, 2, 0.3];
	let sum = 0;
	const directions = 3600;
	for (let k = 0; k < directions; k++) {
		const angle = (2 * Math.PI * (k + 0.5)) / directions;
		const breadth = d * Math.hypot(1, slant * Math.sin(angle));
		const shadow = breadth * length + (Math.PI / 4) * d ** 2 * cutFacesAdd(slant);
		sum += (breadth * shadow) / (d * d * length);
	}
	// the product of the two means leaves out how they go together: below two thousandths at this slant
	expect(Math.abs(seenTooLarge('aluminium', slant, d, d / length, FAR_MM) - sum / directions)).toBeLessThan(0.002);
});

test('the same class map holds less the lower the camera stood, and as much as it shows where nobody knows', () => {
	const map = new Drawing(400, 240).disc(4, 60, 60, 12).disc(4, 340, 200, 12).bar(1, 200, 120, 160, 4, 20).map();
	const surface = flatSurface(400, 240, 4);
	const volumeAt = (heightMm?: number) =>
		readSpread(
			map,
			heightMm === undefined ? surface : { ...surface, camera: { xMm: 50, yMm: 30, heightMm, tiltDeg: 0, stretch: 1 } },
			'model',
		).blocks.reduce((sum, { widthAreaMm3 }) => sum + widthAreaMm3.insulation, 0);
	expect(volumeAt(1e7)).toBeCloseTo(volumeAt(), 3);
	expect(volumeAt(150)).toBeLessThan(0.97 * volumeAt());
	expect(volumeAt(300)).toBeGreaterThan(volumeAt(150));
});

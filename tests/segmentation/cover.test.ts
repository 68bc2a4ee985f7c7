import { expect, test } from 'vitest';
import type { ClassMap } from '@/lib/segmentation/classMap';
import { coverOf } from '@/lib/segmentation/cover';
import { flatSurface } from '../particles/shapes';
import { COPPER, PAPER, PLAIN_LIGHT, photo, type Rgb } from './trays';

const WIDTH = 320;
const HEIGHT = 260;

/** Share of a blurred strand's light at a distance from its middle: a box of the strand's breadth under a normal blur. */
function blurred(distance: number, breadth: number, sigma: number): number {
	const steps = 40;
	let sum = 0;
	for (let k = 0; k < steps; k++) {
		const at = ((k + 0.5) / steps - 0.5) * breadth;
		sum += Math.exp(-0.5 * ((distance - at) / sigma) ** 2);
	}
	return (sum / steps) * (breadth / (sigma * Math.sqrt(2 * Math.PI)));
}

/** Strands of one breadth, a little tilted, and one thick bar that shows the metal's own colour. */
function hairPhoto(breadth: number) {
	const share = (x: number, y: number) => {
		if (y > 215) return Math.abs(y - 235) < 12 ? 1 : 0;
		const line = ((y - 0.13 * x) % 40) + (y - 0.13 * x < 0 ? 40 : 0) - 20;
		return blurred(line * Math.cos(Math.atan(0.13)), breadth, 0.8);
	};
	const raster = photo(WIDTH, HEIGHT, (x, y) => {
		const a = Math.min(1, share(x, y));
		return [0, 1, 2].map((c) => a * COPPER[c]! + (1 - a) * PAPER[c]!) as unknown as Rgb;
	});
	const labels = Uint8Array.from({ length: WIDTH * HEIGHT }, (_, i) =>
		share((i % WIDTH) + 0.5, Math.floor(i / WIDTH) + 0.5) > 0.2 ? 1 : 0,
	);
	const map: ClassMap = { width: WIDTH, height: HEIGHT, columnOffset: 0, rowOffset: 0, labels };
	return { raster, map };
}

test.each([0.6, 0.8, 1.2, 1.6, 2])(
	'a blurred copper hair %d px wide neither vanishes nor doubles: its area is right within 15 per cent',
	(breadth) => {
		const { raster, map } = hairPhoto(breadth);
		const { cover, labels } = coverOf(raster, flatSurface(WIDTH, HEIGHT, 8), PLAIN_LIGHT, map);
		let covered = 0;
		let counted = 0;
		for (let i = 0; i < 200 * WIDTH; i++) {
			if (labels[i] === 0) continue;
			covered += cover![i]! / 255;
			counted += 1;
		}
		let truth = 0;
		for (let i = 0; i < 200 * WIDTH; i++) {
			const [x, y] = [(i % WIDTH) + 0.5, Math.floor(i / WIDTH) + 0.5];
			const line = ((y - 0.13 * x) % 40) + (y - 0.13 * x < 0 ? 40 : 0) - 20;
			truth += blurred(line * Math.cos(Math.atan(0.13)), breadth, 0.8);
		}
		expect(Math.abs(covered / truth - 1)).toBeLessThan(0.15);
		if (breadth < 1) expect(counted / truth).toBeGreaterThan(1.8); // whole pixels would count it double
	},
);

test('thick pieces and insulation keep whole pixels', () => {
	const { raster, map } = hairPhoto(1);
	const { cover } = coverOf(raster, flatSurface(WIDTH, HEIGHT, 8), PLAIN_LIGHT, map);
	expect(cover![235 * WIDTH + 100]).toBe(255);
	const plastic = { ...map, labels: map.labels.map((label) => (label === 1 ? 4 : 0)) };
	expect(new Set(coverOf(raster, flatSurface(WIDTH, HEIGHT, 8), PLAIN_LIGHT, plastic).cover)).toEqual(new Set([255]));
});

import { expect, test } from 'vitest';
import { perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { ellipsoidOf } from '@/lib/material/ellipsoid';
import { materialSchema } from '@/lib/material/material';
import references from '../reference/densities-and-shapes.json';

const { classes } = DEFAULT_MATERIAL;

function expectedOf<T>(id: string): T {
	return references.find((entry) => entry.id === id)?.expected as T; // each test knows the shape of its own reference
}

test('the default material is a valid material file', () => {
	expect(materialSchema.parse(JSON.parse(JSON.stringify(DEFAULT_MATERIAL)))).toEqual(DEFAULT_MATERIAL);
});

test('densities of the metals lie within what the handbooks give', () => {
	const metals = expectedOf<Record<string, [number, number, number]>>('d.metals');
	const [, copperLow, copperHigh] = metals.copper!;
	expect(classes.brightCopper.densityKgPerM3.value).toBeGreaterThanOrEqual(copperLow);
	expect(classes.brightCopper.densityKgPerM3.value).toBeLessThanOrEqual(copperHigh);
	expect(classes.aluminium.densityKgPerM3.value).toBe(metals.aluminium![0]);
	// Tinned wire by its parts: 2 % tin by mass on copper.
	const tinned = 1 / (0.98 / metals.copper![0] + 0.02 / metals.tin![0]);
	const { value, u } = classes.tinnedCopper.densityKgPerM3;
	expect(Math.abs(value - tinned)).toBeLessThan(2 * u);
});

test('the density of insulation spans what cable plastics weigh, from polyethylene to filled rubber', () => {
	const plastics = expectedOf<Record<string, [number, number, number]>>('d.plastics');
	const { value, u } = classes.insulation.densityKgPerM3;
	for (const name of ['PVC_cable_compound', 'PVC_plasticised_generic', 'EPR_cable_compound', 'rubber_sheath_CR']) {
		expect(Math.abs(value - plastics[name]![0])).toBeLessThanOrEqual(2 * u);
	}
	expect(value).toBeGreaterThan(plastics.LDPE![0]);
});

test('a solid wire is pi/4 of its width thick, and mixed wire between that and a bundle of seven strands', () => {
	const lying = expectedOf<number[]>('c.cyl_lying')[0]! / 0.1;
	expect(classes.aluminium.shape.factor.value).toBeCloseTo(lying, 9);
	// Seven strands of diameter 1 in a ring: section 7 pi/4, width 3, so 7 pi/12 thick over a width of 3.
	const bundle = (7 * Math.PI) / 4 / 3 / 3;
	const { value, u } = classes.brightCopper.shape.factor;
	expect(value).toBeCloseTo((lying + bundle) / 2, 9);
	expect(u).toBeCloseTo((lying - bundle) / Math.sqrt(12), 9);
});

test('the factor of insulation lies between a sleeve half filled with bore and a ball', () => {
	const sleeve = expectedOf<number>('c.tube') / 2;
	const ball = expectedOf<number[]>('c.sphere')[0]!;
	const { value, u } = classes.insulation.shape.factor;
	expect(value).toBeLessThan(sleeve);
	expect(value + 2 * u).toBeGreaterThan(sleeve);
	expect(value).toBeLessThan(ball);
});

test('every class shows colours with an extent, whose shares add up to one', () => {
	const sums = perClass((name) =>
		classes[name].colours.reduce((sum, patch) => {
			expect(Number.isFinite(ellipsoidOf(patch).logDet)).toBe(true);
			return sum + (patch.share ?? 0);
		}, 0),
	);
	for (const sum of Object.values(sums)) expect(sum).toBeCloseTo(1, 2);
});

test('copper is redder than tinned copper and aluminium, and both of these are near grey', () => {
	const mean = (name: 'brightCopper' | 'tinnedCopper' | 'aluminium') => {
		const sum = (of: 'a' | 'b') =>
			classes[name].colours.reduce((s, patch) => s + (patch.share ?? 0) * patch.centre[of], 0);
		return Math.hypot(sum('a'), sum('b'));
	};
	expect(mean('brightCopper')).toBeGreaterThan(9);
	expect(mean('tinnedCopper')).toBeLessThan(4);
	expect(mean('aluminium')).toBeLessThan(4);
});

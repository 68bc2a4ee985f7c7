import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import reference from '../reference/geometry.json';

const factorOf = (name: 'brightCopper' | 'tinnedCopper' | 'insulation' | 'other') =>
	DEFAULT_MATERIAL.classes[name].shape.factor;

test('a lying round wire is pi/4 of its width thick, a grain between a ball, two thirds, and two thirds of that', () => {
	const wire = reference['c.cyl_lying'];
	wire.inputs.d.forEach((widthMm, i) => {
		expect(DEFAULT_MATERIAL.classes.aluminium.shape.factor.value * widthMm).toBeCloseTo(wire.expected[i]!, 9);
	});
	const ball = reference['c.sphere'];
	ball.inputs.d.forEach((widthMm, i) => {
		expect(factorOf('other').value * widthMm).toBeCloseTo(((1 + 2 / 3) / 2) * ball.expected[i]!, 9);
	});
});

test.each(['brightCopper', 'tinnedCopper'] as const)(
	'%s lies between solid wire and seven strands, within its own uncertainty',
	(name) => {
		const { value, u } = factorOf(name);
		expect(value + Math.sqrt(3) * u).toBeCloseTo(Math.PI / 4, 12); // ends of a rectangular distribution
		expect(value - Math.sqrt(3) * u).toBeCloseTo(((7 / 9) * Math.PI) / 4, 12);
	},
);

test('sleeves of house wiring, whole, split, as chips and as lumps, make the insulation factor', () => {
	const { expected } = reference['c.sleeves'];
	const sleeve = expected.reduce((sum, one) => sum + one, 0) / expected.length;
	// 0.48 whole, 0.27 split, 0.45 chips, 0.65 lumps (lib/material/defaultMaterial.ts), rounded to hundredths
	expect(factorOf('insulation').value).toBeCloseTo((sleeve + 0.27 + 0.45 + 0.65) / 4, 2);
});

test('an empty sleeve with a bore of half its outside is within the uncertainty of the insulation factor', () => {
	const { inputs, expected } = reference['c.tube'];
	const { value, u } = factorOf('insulation');
	expect(Math.abs(expected / inputs.do - value)).toBeLessThan(2 * u);
});

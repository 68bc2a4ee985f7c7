import { expect, test } from 'vitest';
import { checkSchema } from '@/lib/grade/checkEntry';
import { copperByDisplacement, densityDraws, heavyShareOf, waterDensityKgPerM3 } from '@/lib/grade/waterDisplacement';
import reference from '../reference/density.json';
import { madeMaterial } from './madeReading';

test('water is as dense as the published formula and handbooks say', () => {
	// Tanaka et al., Metrologia 38 (2001) 301
	const { inputs, expected, tolerance } = reference['d.water'];
	inputs.t_C.forEach((celsius, i) => {
		expect(Math.abs(waterDensityKgPerM3(celsius) - expected[i]!)).toBeLessThan(tolerance);
	});
});

test('metal share and mixture density lead to each other', () => {
	const forward = reference['d.mix.forward'];
	const { rho1, rho2, w_copper } = forward.inputs;
	forward.expected.forEach((density, i) => {
		expect(heavyShareOf(density, rho1, rho2)).toBeCloseTo(w_copper[i]!, 9);
	});
	const inverse = reference['d.mix.inverse'];
	inverse.inputs.rho.forEach((density, i) => {
		expect(heavyShareOf(density, rho1, rho2)).toBeCloseTo(inverse.expected[i]!, 9);
	});
});

test('0.03 g/cm3 wrong on the plastic turns 4.0 % into 6.4 % and moves 97 % by a tenth of a point', () => {
	const density = (share: number) => 1 / (share / 8.96 + (1 - share) / 1.43);
	expect(heavyShareOf(density(0.04), 8.96, 1.4)).toBeCloseTo(reference['d.mix.sensitivity_low'].expected, 9);
	expect(heavyShareOf(density(0.97), 8.96, 1.4)).toBeCloseTo(reference['d.mix.sensitivity_high'].expected, 9);
});

test('a millilitre of trapped air in 100 g turns 97 % into 95.3 %', () => {
	const volume = 100 * (0.97 / 8.96 + 0.03 / 1.4) + 1;
	expect(heavyShareOf(100 / volume, 8.96, 1.4)).toBeCloseTo(reference['d.mix.air_error'].expected, 9);
});

test('the jug and the balance in water tell the same copper', () => {
	const share = 0.9;
	const volumeMl = 100 * (share / 8.96 + (1 - share) / 1.4);
	const suspendedG = 100 - (volumeMl * waterDensityKgPerM3(20)) / 1000;
	const common = { kind: 'displacement', dry: '100.00 g' } as const;
	const jug = checkSchema.parse({ ...common, displacedMl: volumeMl, stepMl: 0.1 });
	const hung = checkSchema.parse({ ...common, suspended: `${suspendedG.toFixed(2)} g` });
	for (const check of [jug, hung]) {
		if (check.kind !== 'displacement') throw new Error('not a displacement');
		const { value, u } = copperByDisplacement(check, densityDraws(madeMaterial(), 4000, 1), 1, undefined);
		// up to a hundredth of the volume may be air, so half a hundredth is expected: about a point here
		expect(Math.abs(value - share)).toBeLessThan(0.01);
		expect(u).toBeLessThan(0.01);
	}
});

test('a plastic known to a tenth only leaves lean waste unknown and says so', () => {
	const check = checkSchema.parse({ kind: 'displacement', dry: '100.00 g', displacedMl: '69.0', stepMl: 0.5 });
	if (check.kind !== 'displacement') throw new Error('not a displacement');
	const { u } = copperByDisplacement(
		check,
		densityDraws(madeMaterial({ density: 0.07, factor: 0 }), 4000, 1),
		1,
		undefined,
	);
	expect(u).toBeGreaterThan(0.05);
});

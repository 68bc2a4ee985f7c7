import { expect, test } from 'vitest';
import { gySampleMassG } from '@/lib/grade/gySampling';
import reference from '../reference/sampling.json';

test("Gy's worked example: a lead ore in four stages needs 1370 kg at 25 mm and 0.07 g at 0.04 mm", () => {
	// Wills, Mineral Processing Technology, as in the worksheet named in the reference; 4 stages with a safety factor of 2
	const { inputs, expected, tolerance } = reference['e.gy.wills_four_stages'];
	inputs.d_cm.forEach((sizeCm, i) => {
		const massG =
			inputs.stages *
			inputs.safety *
			gySampleMassG(
				{
					grade: inputs.assay / inputs.mineral_assay,
					topSizeMm: 10 * sizeCm,
					densityKgPerM3: { wanted: 1000 * inputs.rho_m, rest: 1000 * inputs.rho_g },
					liberation: Math.min(1, Math.sqrt(inputs.L_cm / sizeCm)),
				},
				inputs.rel_error / inputs.z,
			);
		expect(Math.abs(massG - expected[i]!)).toBeLessThan(tolerance[i]!);
	});
});

test('copper in plastic chops: 10.4 g at 1 mm and 281 g at 3 mm for 4 % copper to 5 % of itself', () => {
	const { inputs, expected } = reference['e.gy.copper_in_plastic'];
	inputs.a_d_cm.forEach(([grade, sizeCm], i) => {
		const material = { grade: grade!, topSizeMm: 10 * sizeCm!, densityKgPerM3: { wanted: 8960, rest: 1400 } };
		expect(gySampleMassG(material, inputs.s)).toBeCloseTo(expected[i]!, 6);
	});
});

test('a 20 g spread of 3 mm chops cannot tell 4 % copper better than to 19 % of itself', () => {
	const { inputs, expected } = reference['e.gy.rsd_of_photo_sample'];
	inputs.d_cm.forEach((sizeCm, i) => {
		const material = { grade: inputs.a, topSizeMm: 10 * sizeCm, densityKgPerM3: { wanted: 8960, rest: 1400 } };
		expect(gySampleMassG(material, expected[i]!)).toBeCloseTo(inputs.M_g, 5);
	});
});

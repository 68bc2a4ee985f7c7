import { expect, test } from 'vitest';
import { presentationFor, presentBy } from '@/lib/report/presentation';
import { checkWarnings, photoWarnings } from '@/lib/report/runWarnings';

const estimate = { value: 0.3, low: 0.2, high: 0.4, u: 0.05 };

test('a contradicting sort, a partial one, an impossible displacement and a disagreement all come with a run, plainly', () => {
	presentBy(() => presentationFor(undefined, 'de-DE'));
	try {
		const told = checkWarnings({
			sorting: {
				learned: [],
				piles: [
					{
						label: 'spread 1 of Middlings',
						name: 'insulation',
						weighedG: 16.57,
						expectedG: 1.9,
						standardDeviations: 6,
					},
				],
				idle: [],
				partial: [{ label: 'spread 2 of Middlings', unweighed: ['insulation'] }],
				points: [],
			},
			checked: {
				Middlings: {
					estimates: [
						{ ...estimate, origin: 'photos', deviations: 4 },
						{ ...estimate, origin: 'assay', deviations: 4 },
					],
					combined: { ...estimate, chiSquare: 16, probability: 1e-4, excessU: 0.1 },
					impossible: [{ densityKgPerM3: 10_100, isTooDense: true }],
				},
			},
		});
		expect(told.map(({ code }) => code)).toEqual([
			'sort-contradicts',
			'sort-without-grade',
			'estimates-disagree',
			'displacement-impossible',
		]);
		expect(told[0]!.message).toMatch(
			/16\.57 g where 1\.90 g were expected: 6\.0 standard deviations.*moves the grades/,
		);
		expect(told[2]!.message).toMatch(/^Middlings: With its checks: copper 30\u00a0%/);
		expect(told[3]!.message).toMatch(/^Middlings: A water displacement comes to 10\.1 kg/);
	} finally {
		presentBy(() => undefined);
	}
});

test('warnings of photos name their product and their spreads', () => {
	const warnings = [{ code: 'blurred', message: 'Blurred. Hold still.' }] as const;
	const seen = [1, 3].map((spread) => ({ spread, warnings }));
	expect(photoWarnings([{ label: 'Tailings', photos: seen }]).map(({ message }) => message)).toEqual([
		'Tailings: Spreads 1, 3: Blurred. Hold still.',
	]);
	const twice = [{ code: 'same-picture', message: 'In two places.' }] as const;
	const bins = ['Middlings', 'Tailings'].map((label) => ({ label, photos: [{ spread: 1, warnings: twice }] }));
	expect(photoWarnings(bins).map(({ message }) => message)).toEqual(['In two places.']);
});

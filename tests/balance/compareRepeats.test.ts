import { expect, test } from 'vitest';
import { repeatsDifferenceOf, repeatsOf, welchOf } from '@/lib/balance/compareRepeats';
import { falseAlarmSentence, repeatsSentence } from '@/lib/report/compareSentences';
import reference from '../reference/regression.json';

test("Student's sleep data give the printed t, degrees of freedom and interval", () => {
	const { inputs, expected, tolerance } = reference.welchSleep;
	const found = repeatsDifferenceOf(inputs.a, inputs.b);
	// the printed output takes the first group less the second
	expect(Math.abs(-found.t - expected.t)).toBeLessThan(tolerance.t);
	expect(Math.abs(found.degreesOfFreedom - expected.df)).toBeLessThan(tolerance.df);
	expect(Math.abs(-found.high - expected.ci95[0]!)).toBeLessThan(tolerance.ci95);
	expect(Math.abs(-found.low - expected.ci95[1]!)).toBeLessThan(tolerance.ci95);
});

test('the car mileage groups give the recomputed t from their summaries', () => {
	const { inputs, expected, tolerance } = reference.welchCars;
	const group = (k: number) => ({ mean: inputs.mean[k]!, variance: inputs.sd[k]! ** 2, count: inputs.n[k]! });
	const found = welchOf(group(0), group(1));
	expect(Math.abs(-found.t - expected.t_welch)).toBeLessThan(tolerance.t_welch);
	expect(Math.abs(found.degreesOfFreedom - expected.df_welch)).toBeLessThan(tolerance.df_welch);
});

test('three runs a setting with 3.4 points between them are only just outside noise', () => {
	const { inputs, expected, tolerance } = reference.welchTwoSettings;
	const found = repeatsDifferenceOf(inputs.A, inputs.B);
	expect(found.difference).toBeCloseTo(expected.diff, 9);
	expect(Math.abs(found.degreesOfFreedom - expected.df)).toBeLessThan(tolerance);
	expect(Math.abs(found.low - expected.ci95[0]!)).toBeLessThan(tolerance);
	expect(Math.abs(found.high - expected.ci95[1]!)).toBeLessThan(tolerance);
});

test('a single run at a setting is no repeat', () => {
	expect(() => repeatsDifferenceOf([0.8], [0.7, 0.9])).toThrow('at least two runs');
});

test('runs of two settings, each repeated, are set against each other as groups', () => {
	const runs = reference.welchTwoSettings.inputs.A.map((outcome, k) => ({
		name: `a${k}`,
		settings: 'flat',
		outcome,
	})).concat(reference.welchTwoSettings.inputs.B.map((outcome, k) => ({ name: `b${k}`, settings: 'steep', outcome })));
	const found = repeatsOf(runs)!;
	expect(found.second).toEqual(['b0', 'b1', 'b2']);
	expect(found.difference).toBeCloseTo(3.4, 9);
	expect(repeatsOf(runs.slice(0, 4))).toBeUndefined();
	expect(repeatsOf([...runs, { name: 'c', settings: 'other', outcome: 1 }])).toBeUndefined();
	expect(repeatsOf([...runs.slice(1), { name: 'c', settings: 'flat', outcome: undefined }])).toBeUndefined();
});

test('settings whose runs come from other lots, or noted less, are set against each other with a word of that', () => {
	const told = (lots: readonly string[], notNoted: readonly string[] = []) =>
		repeatsSentence(
			repeatsOf(
				[0.8, 0.82, 0.9, 0.92].map((outcome, k) => ({
					...{ name: `${k}`, settings: k < 2 ? 'flat' : 'steep', outcome, lot: lots[k] },
					notNoted: k === 3 ? notNoted : [],
				})),
			)!,
		);
	expect(told(['a', 'a', 'b', 'b'])).toContain('holds that of the lots as well');
	expect(told(['a', 'b', 'b', 'a'])).not.toContain('lots');
	expect(told(['a', 'a', 'a', 'a'], ['Wash water'])).toContain(
		'Not noted in every run, so it may have differed or not: wash water.',
	);
});

test('several comparisons at once come with a word on false alarms, one does not', () => {
	expect(falseAlarmSentence(1)).toBeUndefined();
	expect(falseAlarmSentence(5)).toMatch(/^Here are five comparisons .+ one figure in twenty looks different by chance/);
});

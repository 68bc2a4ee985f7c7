import { expect, test } from 'vitest';
import { perUnitOf, settingUnit, settledRunOf } from '@/app/_forms/settledRun';
import { factorialPlanOf } from '@/lib/balance/factorialPlan';
import { settingEffectsOf } from '@/lib/balance/settingEffects';
import { regressionOf } from '@/lib/balance/settingRegression';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { planSentences } from '@/lib/report/planSentences';
import reference from '../reference/regression.json';

function expectRelative(value: number, expected: number, tolerance: number): void {
	expect(Math.abs(value - expected)).toBeLessThanOrEqual(tolerance * Math.abs(expected));
}

test('a straight line through the Norris data meets its certified values', () => {
	const { inputs, expected, tolerance } = reference.nistNorris;
	const fit = regressionOf([inputs.x], inputs.y);
	expect(Math.abs(fit.intercept.value - expected.B0)).toBeLessThan(tolerance.B0);
	expect(Math.abs(fit.slopes[0]!.value - expected.B1)).toBeLessThan(tolerance.B1);
	expect(Math.abs(fit.intercept.u - expected.se_B0)).toBeLessThan(tolerance.se_B0);
	expect(Math.abs(fit.slopes[0]!.u - expected.se_B1)).toBeLessThan(tolerance.se_B1);
	expect(Math.abs(fit.residualSd - expected.residual_sd)).toBeLessThan(tolerance.residual_sd);
	expect(Math.abs(fit.rSquared - expected.R2)).toBeLessThan(tolerance.R2);
});

test('the badly conditioned Longley data meet their certified values', () => {
	const { inputs, expected, tolerance } = reference.nistLongley;
	const column = (k: number) => inputs.rows.map((row) => row[k]!);
	const fit = regressionOf([1, 2, 3, 4, 5, 6].map(column), column(0));
	for (const [k, value] of [fit.intercept, ...fit.slopes].entries())
		expectRelative(value.value, expected.B[k]!, tolerance.rel);
	expectRelative(fit.residualSd, expected.residual_sd, tolerance.rel);
	expectRelative(fit.rSquared, expected.R2, tolerance.rel);
});

test('a fit whose points are known alike is the plain fit, however well they are said to be known', () => {
	const [x, y] = [[1, 2, 3, 5] as const, [2.1, 3.9, 6.2, 9.7] as const];
	const plain = regressionOf([x], y);
	for (const u of [0.001, 1]) {
		const told = regressionOf(
			[x],
			y,
			x.map(() => u),
		);
		for (const end of ['value', 'u', 'low', 'high'] as const)
			expect(told.slopes[0]![end]).toBeCloseTo(plain.slopes[0]![end], 10);
	}
});

test('points that lie on a line without any scatter have a slope without a range', () => {
	for (const u of [undefined, [0.1, 0.2, 0.1]]) {
		const [slope] = regressionOf([[-1, 0, 1]], [2, 2, 2], u).slopes;
		expect([slope!.value, slope!.u, slope!.low, slope!.high]).toEqual([0, 0, 0, 0]);
	}
});

test('a point that is known far worse than the others hardly counts, and the range says what is left', () => {
	const [x, y, u] = [
		[0, 1, 0, 1, 0, 1],
		[0.81, 0.83, 0.79, 0.85, 0.8, 0.2],
		[0.01, 0.01, 0.01, 0.01, 0.01, 0.5],
	] as const;
	const [slope] = regressionOf([x], y, u).slopes;
	expect(slope!.value).toBeCloseTo(0.04, 2);
	expect(slope!.low).toBeGreaterThan(-0.05);
});

/** How often of 500 times four settings in turns are said to have done something that lies clear of nothing. */
function timesClear(purpose: string, effect: number, shared: number, ownOf: (k: number) => number, scatter: number) {
	return Array.from({ length: 500 }, (_, seed) => {
		const random = seededRandom(seed, purpose);
		const all = shared * random.normal();
		const runs = Array.from({ length: 8 }, (_unused, k) => {
			const own = ownOf(k);
			const outcome = 0.8 + effect * (k % 2) + all + Math.hypot(own, scatter) * random.normal();
			return { name: `${k}`, settings: { slope: k % 2 }, outcome: { value: outcome, u: Math.hypot(own, shared) } };
		});
		const { low, high } = settingEffectsOf(runs).effects[0]!.perUnit;
		return low > 0 || high < 0;
	}).filter((isClear) => isClear).length;
}

test('a setting that does nothing is said to do something about 5 times in 100, also where two runs are known far better', () => {
	const found = timesClear('nothing', 0, 0, (k) => (k < 2 ? 0.002 : 0.03), 0.02);
	// of 500 draws at 5 in 100, 14 to 40 come about in 99 of 100
	expect(found).toBeGreaterThan(13);
	expect(found).toBeLessThan(41);
});

test('errors that all runs share hide no effect', () => {
	// five points, 1.4 points of scatter, and 4 points that all runs have in common: by hand a power of 0.98
	expect(timesClear('shared', 0.05, 0.04, () => 0.01, 0.01)).toBeGreaterThan(475);
});

test('effects of the published pilot plant are found, main and together', () => {
	const { inputs, expected } = reference.pilotPlant;
	const sign = (row: number, letter: string) => (((row >> 'TCK'.indexOf(letter)) & 1) === 1 ? 1 : -1);
	for (const [name, effect] of Object.entries(expected)) {
		const signs = inputs.yields.map((_, row) => [...name].reduce((all, letter) => all * sign(row, letter), 1));
		// from low to high is two steps
		expect(2 * regressionOf([signs], inputs.yields).slopes[0]!.value).toBeCloseTo(effect, 12);
	}
});

test('a plan holds every combination once, its order is that of its seed, and half of it stays balanced', () => {
	const settings = ['slope', 'water', 'stroke'].map((name) => ({ name, low: 1, high: 2 }));
	const whole = factorialPlanOf(settings, 7);
	expect(new Set(whole.runs.map(({ high }) => high.join())).size).toBe(8);
	expect(factorialPlanOf(settings, 7)).toEqual(whole);
	expect(factorialPlanOf(settings, 8).runs).not.toEqual(whole.runs);
	const half = factorialPlanOf(settings, 7, { isHalf: true });
	expect(half.runs).toHaveLength(4);
	for (const k of [0, 1, 2]) expect(half.runs.filter(({ high }) => high[k]).length).toBe(2);
	for (const { high } of half.runs) expect(high.filter((one) => !one).length % 2).toBe(0);
	expect(half.warning).toContain('mixed with');
});

test('a repeated plan holds every combination as often, and its runs are enough for their effects where it says so', () => {
	const settings = [{ name: 'slope', low: 4, high: 6 }];
	const twice = factorialPlanOf(settings, 7, { times: 2 });
	expect(twice.runs.map(({ high }) => high[0]).toSorted()).toEqual([false, false, true, true]);
	for (const times of [1, 2, 3]) {
		const plan = factorialPlanOf(settings, 7, { times });
		const random = seededRandom(5, 'plan');
		const runs = plan.runs.map(({ high }) => run(high[0] ? 6 : 4, 8, 0.8 + 0.01 * random.normal()));
		expect(settingEffectsOf(runs).effects.length > 0).toBe(plan.clearFrom !== undefined);
		expect(planSentences(plan).join(' ')).toMatch(
			times === 1
				? /^2 runs can't tell what one setting did: at least 3/
				: /^If runs at the same settings differ by 1 point/,
		);
	}
	expect(() => factorialPlanOf(settings, 7, { times: 0 })).toThrow('0 times each');
});

test('an effect as large as a plan says is told from nothing about one time in two', () => {
	const settings = ['slope', 'water'].map((name) => ({ name, low: 0, high: 1 }));
	const plan = factorialPlanOf(settings, 7, { times: 2 });
	const clear = Array.from({ length: 400 }, (_, seed) => {
		const random = seededRandom(seed, 'even odds');
		const runs = plan.runs.map(({ high: [slope, water] }, k) => {
			const outcome = { value: plan.clearFrom! * Number(slope) + random.normal(), u: 0.5 };
			return { name: `${k}`, outcome, settings: { slope: Number(slope), water: Number(water) } };
		});
		return settingEffectsOf(runs).effects.find(({ setting }) => setting === 'slope')!.perUnit.low > 0;
	}).filter((isClear) => isClear).length;
	expect(clear).toBeGreaterThan(160);
	expect(clear).toBeLessThan(240);
});

test('a plan of equal levels, or of too many settings, is refused', () => {
	expect(() => factorialPlanOf([{ name: 'Wash water', low: 9, high: 9 }], 1)).toThrow('same low and high');
	expect(() =>
		factorialPlanOf(
			Array.from({ length: 6 }, (_, k) => ({ name: `${k}`, low: 0, high: 1 })),
			1,
		),
	).toThrow('6 settings');
});

const run = (slope: number, water: number, recovery: number, u = 0.01) => ({
	name: `${slope} ${water}`,
	outcome: { value: recovery, u },
	settings: { slope, water },
});

test('a setting that won two points per degree is found, with a range that holds it', () => {
	const random = seededRandom(5, 'effects');
	const runs = [
		[4, 8],
		[6, 8],
		[4, 12],
		[6, 12],
		[5, 10],
		[5, 10],
	].map(([slope, water]) => run(slope!, water!, 0.8 + 0.02 * slope! + 0.005 * random.normal(), 0.005));
	const { effects, warnings } = settingEffectsOf(runs);
	expect(warnings).toEqual([]);
	expect(effects[0]!.perUnit.low).toBeLessThan(0.02);
	expect(effects[0]!.perUnit.high).toBeGreaterThan(0.02);
	expect(effects[0]!.overlap).toBeCloseTo(0, 12);
});

test('settings that only changed together, never changed, or were not always noted are named and left out', () => {
	const together = settingEffectsOf([run(4, 8, 0.8), run(5, 9, 0.82), run(6, 10, 0.85), run(4, 8, 0.79)]);
	expect(together.effects.map(({ setting }) => setting)).toEqual(['slope']);
	expect(together.warnings[0]).toContain('water only ever changed together with slope');
	expect(settingEffectsOf([run(4, 8, 0.8), run(4, 8, 0.81), run(4, 8, 0.8)]).warnings[0]).toContain(
		'No setting was changed',
	);
	const partly = [
		run(4, 8, 0.8),
		{ name: 'x', outcome: { value: 0.8, u: 0.01 }, settings: { slope: 5 } },
		run(6, 8, 0.8),
	];
	expect(settingEffectsOf(partly).warnings[0]).toContain('water');
});

test('too few runs for the changed settings say how many are needed', () => {
	expect(settingEffectsOf([run(4, 8, 0.8), run(5, 9, 0.81), run(6, 8, 0.8)]).warnings[0]).toContain('At least 4');
});

test('runs that may hold carry-over count among the effects of settings, and are named', () => {
	const runs = [run(4, 8, 0.8), run(5, 8, 0.81), { ...run(6, 8, 0.8), firstAfterChange: true }];
	const { effects, warnings } = settingEffectsOf(runs);
	expect(effects).toHaveLength(1);
	expect(warnings).toEqual([
		expect.stringMatching(/^First after a change and not washed through, .+: 6 8\. They count/),
	]);
});

test('runs of different materials are named, since an error of one may look like an effect', () => {
	const runs = [4, 5, 6].map((slope) => ({ ...run(slope, 8, 0.8 + 0.001 * slope), material: 'cable' }));
	expect(settingEffectsOf(runs).warnings).toEqual([]);
	const mixed = runs.map((one, k) => ({ ...one, material: k === 2 ? 'car cable' : one.material }));
	expect(settingEffectsOf(mixed).warnings).toEqual([
		expect.stringMatching(/read with different materials \(cable, car cable\)\. An error of one material/),
	]);
});

test('runs of which nothing is known are left out and named, wherever effects are told', () => {
	const known = [run(4, 8, 0.8), run(5, 8, 0.81), run(6, 8, 0.8)];
	const unknown = { name: 'Run 9', settings: { slope: 7, water: 8 } };
	const { effects, runs, warnings } = settingEffectsOf([unknown, ...known]);
	expect([effects, runs]).toEqual([settingEffectsOf(known).effects, 3]);
	expect(warnings).toEqual([
		'Left out, since what came out is not known yet, is below detection or rests on a balance that is far from closing: Run 9.',
		...settingEffectsOf(known).warnings,
	]);
	expect(settingEffectsOf([unknown]).warnings).toHaveLength(2);
});

test('where no more than one run tells what came out, no setting is said to have stayed as it was', () => {
	expect(settingEffectsOf([]).warnings).toEqual([expect.stringContaining('is known of none of these runs')]);
	expect(settingEffectsOf([run(4, 8, 0.8)]).warnings).toEqual([expect.stringContaining('of only one of these runs')]);
});

test('a recovery that rests on a balance far from closing, or only has a limit, says nothing of a setting; the grade still does', () => {
	const share = { value: 0.9, low: 0.86, high: 0.94 };
	const told = (probability: number, recovery: object = share) => {
		const concentrate = {
			productIds: ['c'],
			massFraction: { copper: share },
			recovery: { copper: { ...share, ...recovery } },
			upgradeRatio: {},
		};
		const of = (outcome: 'recovery' | 'grade') =>
			settledRunOf('run', {}, { together: { concentrate }, probability }, outcome, undefined).outcome;
		return [of('recovery') !== undefined, of('grade') !== undefined];
	};
	expect(told(0.2)).toEqual([true, true]);
	expect(told(0.0001)).toEqual([false, true]);
	expect(told(0.2, { belowDetectionLimit: true })).toEqual([false, true]);
});

test('every setting that a run noted is counted as a number with a unit of its own', () => {
	const noted = { strokeLengthMm: 12, wettingAgent: 'soap', wettingAgentDoseMlPerL: 2, filmOnDeck: true };
	const { settings } = settledRunOf('run', noted, { together: {} }, 'recovery', undefined);
	expect(settings).toEqual({ 'Stroke length': 12, 'Dose of wetting agent': 2, 'Film on the deck': 1 });
	expect(Object.keys(settings).map(settingUnit)).toEqual(['mm', 'mL per L', 'film']);
	expect(['Strokes', 'Wash water'].map(perUnitOf)).toEqual(['per minute', 'per L/min']);
	expect(() => settingUnit('Dose of soap')).toThrow('no setting is called "Dose of soap"');
});

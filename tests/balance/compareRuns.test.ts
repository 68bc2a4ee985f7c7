import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import type { StreamInput } from '@/lib/balance/accountInput';
import { coverageEllipseOf } from '@/lib/balance/compareEllipse';
import { type ComparableRun, compareRuns, type Difference, differenceOf } from '@/lib/balance/compareRuns';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { comparisonSentences, notComparedSentence, printPoints } from '@/lib/report/compareSentences';
import { madeUpRun, scatter, shareDraws, TRUE_PRODUCTS } from './madeUpRun';

const COUNT = 4000;
const ROLES = { concentrate: 'concentrate', middlings: 'middlings', tailings: 'tailings' } as const;

/** One weighed concentrate whose copper grade is 0.5 with an error of its own and one shared by index. */
function oneBin(name: string, own: number, shared: Float64Array): ComparableRun {
	const random = seededRandom(3, name);
	const copper = Float64Array.from({ length: COUNT }, (_, i) => 0.5 + shared[i]! + own * random.normal());
	const zero = new Float64Array(COUNT);
	const gradeDraws = { copper, aluminium: zero, insulation: copper.map((share) => 1 - share), other: zero };
	const products = [
		{ id: 'c', name: 'Concentrate', role: 'concentrate', dryMassKg: { value: 2, u: 0.01 }, gradeDraws } as const,
	];
	return { name, ...accountRun({ runId: name, seed: 20, drawCount: COUNT, products }) };
}

function normal(purpose: string, sd: number): Float64Array {
	return Float64Array.from({ length: COUNT }, seededRandom(3, purpose).normal).map((error) => sd * error);
}

function find(differences: readonly Difference[], stream: string, figure: string, component = 'copper'): Difference {
	return differences.find((d) => d.stream === stream && d.figure === figure && d.component === component)!;
}

const width = ({ difference }: Difference) => difference.high - difference.low;

test('errors that two runs share cancel: the interval is narrower by what theory gives', () => {
	const [own, shared] = [0.02, 0.04];
	const together = compareRuns([oneBin('run 1', own, normal('s', shared)), oneBin('run 2', own, normal('s', shared))]);
	const apart = compareRuns([oneBin('run 1', own, normal('s', shared)), oneBin('run 2', own, normal('t', shared))]);
	const ratio =
		width(find(together[0]!.differences, 'concentrate', 'grade')) /
		width(find(apart[0]!.differences, 'concentrate', 'grade'));
	// standard deviations sqrt(2) own and sqrt(2 (own^2 + shared^2)); widths from 4000 draws repeat to 2 %, their ratio to 3 %
	expect(ratio / (own / Math.hypot(own, shared))).toBeGreaterThan(0.93);
	expect(ratio / (own / Math.hypot(own, shared))).toBeLessThan(1.07);
});

/** A made-up run measured with fresh errors of its own and a scale and colour error that both runs have. */
function measured(name: string, pair: number, sharedError: number, sharedDraws: Float64Array, lift = 1): ComparableRun {
	const random = seededRandom(pair, name);
	const count = sharedDraws.length;
	const products = TRUE_PRODUCTS.map(({ id, massKg, shares }) => ({
		id,
		name: id,
		role: ROLES[id as keyof typeof ROLES],
		dryMassKg: { value: massKg * (1 + 0.01 * random.normal()), u: 0.01 * massKg },
		gradeDraws: shareDraws(
			scatter(
				id === 'tailings' ? [lift * shares[0], shares[1], shares[2], shares[3]] : shares,
				0.15,
				sharedError,
				random,
			),
			0.15,
			sharedDraws,
			count,
			random,
		),
	}));
	const feed: StreamInput = { dryMassKg: { value: 48.7 + 0.25 * random.normal(), u: 0.25 } };
	return { name, ...accountRun({ runId: name, seed: pair, drawCount: count, feed, products }) };
}

test('with no true difference the 95 % interval leaves out zero in 4 to 6 of 100 pairs', () => {
	const [pairs, draws] = [3000, 1000];
	const [own, shared] = [0.02, 0.04];
	const figure = { stream: 'concentrate', figure: 'grade', component: 'copper', better: 'higher' } as const;
	let clear = 0;
	for (let pair = 0; pair < pairs; pair++) {
		const random = seededRandom(pair, 'pair');
		const common = Float64Array.from({ length: draws }, () => shared * random.normal());
		const error = shared * random.normal();
		const seen = () => {
			const value = 0.5 + error + own * random.normal();
			return { value, draws: common.map((together) => value + together + own * random.normal()) };
		};
		clear += Number(differenceOf(figure, seen(), seen())!.isClear);
	}
	expect(clear / pairs).toBeGreaterThan(0.04);
	expect(clear / pairs).toBeLessThan(0.06);
});

test('through weights, grades and reconciling, no true difference is called one in 4 to 6 of 100 pairs of runs', () => {
	// of 399 draws and the truth each is equally likely to be the largest: 10 in 400 on either side are 5 in 100 exactly
	const [pairs, draws, tail] = [400, 399, 9];
	const called = new Map<string, number>();
	for (let pair = 0; pair < pairs; pair++) {
		const random = seededRandom(pair, 'world');
		const error = 0.1 * random.normal();
		const sharedDraws = Float64Array.from({ length: draws }, () => 0.1 * random.normal());
		const [comparison] = compareRuns([
			measured('run 1', pair, error, sharedDraws),
			measured('run 2', pair, error, sharedDraws),
		]);
		for (const { stream, figure, component, probabilityHigher } of comparison!.differences) {
			const key = `${stream} ${figure} ${component}`;
			const above = Math.round(probabilityHigher! * draws);
			called.set(key, (called.get(key) ?? 0) + Number(above <= tail || above >= draws - tail));
		}
	}
	const shares = [...called.values()].map((count) => count / pairs);
	expect(shares.length).toBeGreaterThanOrEqual(13);
	const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
	expect(mean).toBeGreaterThan(0.04);
	expect(mean).toBeLessThan(0.06);
});

test('a run that lost half the copper to its tailings is told apart, and the words say which way', () => {
	const sharedDraws = normal('s', 0.1);
	const runs = [measured('run 3', 1, 0, sharedDraws), measured('run 4', 1, 0, sharedDraws, 0.3)];
	const [comparison] = compareRuns(runs);
	const lost = find(comparison!.differences, 'tailings', 'recovery');
	expect(lost.difference.value).toBeLessThan(0);
	expect(lost.isClear).toBe(true);
	expect(lost.probabilityBetter).toBeGreaterThan(0.975);
	expect(comparisonSentences(comparison!).join(' ')).toMatch(
		/The tailings of run 4 took less of the copper than those of run 3: −/,
	);
});

test('turning the comparison round turns every difference round', () => {
	const sharedDraws = normal('s', 0.1);
	const runs = [measured('a', 1, 0, sharedDraws), measured('b', 1, 0, sharedDraws)];
	const there = compareRuns(runs)[0]!.differences;
	const back = compareRuns(runs.toReversed())[0]!.differences;
	for (const [k, { difference, probabilityHigher }] of there.entries()) {
		expect(back[k]!.difference.value).toBeCloseTo(-difference.value, 12);
		expect(back[k]!.difference.low).toBeCloseTo(-difference.high, 12);
		expect(back[k]!.probabilityHigher).toBeCloseTo(1 - probabilityHigher!, 12);
	}
});

test('a run against itself under another name differs by nothing where all errors are shared', () => {
	const exact = Float64Array.from({ length: 100 }, () => 0.4);
	const figure = { stream: 'feed', figure: 'grade', component: 'copper', better: 'neither' } as const;
	const same = differenceOf(figure, { value: 0.4, draws: exact }, { value: 0.4, draws: exact })!;
	expect(same.difference).toEqual({ value: 0, low: 0, high: 0 });
	expect(same.probabilityHigher).toBe(0.5);
	expect(same.isClear).toBe(false);
});

test('a run without a weight of its tailings is compared by grades, and the sentence says what is missing', () => {
	const sharedDraws = normal('s', 0.1);
	const whole = measured('run 1', 1, 0, sharedDraws);
	const random = seededRandom(2, 'no weight');
	const products = TRUE_PRODUCTS.map(({ id, massKg, shares }) => ({
		id,
		name: id,
		role: ROLES[id as keyof typeof ROLES],
		...(id === 'tailings' ? {} : { dryMassKg: { value: massKg, u: 0.01 * massKg } }),
		gradeDraws: shareDraws(shares, 0.15, sharedDraws, COUNT, random),
	}));
	const part = { name: 'run 2', ...accountRun({ runId: 'run 2', seed: 1, drawCount: COUNT, products }) };
	const [comparison] = compareRuns([whole, part]);
	expect(comparison!.differences.some(({ figure }) => figure === 'recovery')).toBe(false);
	expect(find(comparison!.differences, 'concentrate', 'grade')).toBeDefined();
	expect(comparison!.warnings.join(' ')).toContain('run 2 has no weight of tailings');
	expect(notComparedSentence(comparison!)).toContain('Concentrates: copper recovery');
	expect(comparisonSentences(comparison!)[0]).toContain("can't be compared");
});

test('a run with a stated loss that nobody graded is compared by what is known, and says why no recovery is', () => {
	const run = madeUpRun(200);
	const account = (runId: string, statedLoss?: { dryMassKg: { value: number; u: number } }) => ({
		name: runId,
		...accountRun({ ...run, runId, ...(statedLoss === undefined ? {} : { statedLoss }) }),
	});
	const runs = [account('run 1'), account('run 2', { dryMassKg: { value: 0.3, u: 0.05 } })];
	const [comparison] = compareRuns(runs);
	expect(comparison!.warnings).toContain(
		"What the stated loss of run 2 held is not known: its recoveries can't be compared; yields and grades still can.",
	);
	expect(comparison!.notCompared.map(({ figure }) => figure)).toContain('recovery');
});

test('a run without any weight or grade is not said to be comparable by either', () => {
	const bin = (id: 'concentrate' | 'tailings') => ({ id, name: id, role: id });
	const products = [bin('concentrate'), bin('tailings')];
	const bare = (name: string) => ({ name, ...accountRun({ runId: name, seed: 20, drawCount: 50, products }) });
	const told = compareRuns([bare('run 1'), bare('run 2')])[0]!.warnings.join(' ');
	expect(told).toContain("its yields and recoveries can't be compared.");
	expect(told).toContain("its recoveries can't be compared.");
	expect(told).not.toContain('still can');
});

test('of a run that lacks a bin nothing is claimed but grades', () => {
	const sharedDraws = normal('s', 0.1);
	const whole = measured('run 1', 1, 0, sharedDraws);
	const products = TRUE_PRODUCTS.filter(({ id }) => id !== 'tailings').map(({ id, massKg, shares }) => ({
		...{ id, name: id, role: ROLES[id as keyof typeof ROLES], dryMassKg: { value: massKg, u: 0.01 * massKg } },
		gradeDraws: shareDraws(shares, 0.15, sharedDraws, COUNT, seededRandom(2, id)),
	}));
	const feed = { dryMassKg: { value: 48.7, u: 0.25 } };
	const part = { name: 'run 2', ...accountRun({ runId: 'run 2', seed: 1, drawCount: COUNT, feed, products }) };
	const [comparison] = compareRuns([whole, part]);
	expect(comparison!.differences.some(({ figure }) => figure === 'recovery')).toBe(false);
	const told = comparisonSentences(comparison!).join(' ');
	expect(told).toMatch(/^What was recovered and lost can't be compared: the balance of run 2 is far from closing/);
	expect(told).not.toMatch(/recovered (more|less)|took (more|less)/);
});

test('concentrates that are all there is have no recovery, which would be all of them by definition', () => {
	const [concentrate] = TRUE_PRODUCTS;
	const { id, massKg, shares } = concentrate!;
	const products = [
		{
			...({ id, name: id, role: 'concentrate', dryMassKg: { value: massKg, u: 0.02 } } as const),
			gradeDraws: shareDraws(shares, 0.15, normal('s', 0.1), COUNT, seededRandom(2, id)),
		},
	];
	const feed = { dryMassKg: { value: 48.7, u: 0.25 } };
	const alone = { name: 'run 2', ...accountRun({ runId: 'run 2', seed: 1, drawCount: COUNT, feed, products }) };
	expect(alone.account.together.concentrate!.recovery).toEqual({});
	expect(alone.account.together.concentrate!.massFraction.copper!.value).toBeGreaterThan(0.8);
	expect(alone.account.warnings.map(({ code }) => code)).toContain('one-kind-only');
	const whole = measured('run 1', 1, 0, normal('s', 0.1));
	expect(compareRuns([whole, alone])[0]!.differences.map(({ figure }) => figure)).not.toContain('recovery');
	const assayed = { ...feed, grade: { copper: { value: 0.05, u: 0.002 } } };
	const told = accountRun({ runId: 'run 3', seed: 1, drawCount: COUNT, feed: assayed, products });
	expect(told.account.together.concentrate!.recovery.copper).toBeDefined();
});

test('runs of two lots are compared with a warning', () => {
	const shared = normal('s', 0.02);
	const [comparison] = compareRuns([
		{ ...oneBin('run 1', 0.02, shared), lot: 'March' },
		{ ...oneBin('run 2', 0.02, shared), lot: 'April' },
	]);
	expect(comparison!.warnings[0]).toContain('the difference holds that of the lots');
});

test('two lots of one name are told from each other by where they are from', () => {
	const shared = normal('s', 0.02);
	const from = (name: string, lotMark: string) => ({ ...oneBin(name, 0.02, shared), lot: 'Batch 1', lotMark });
	const told = (second: string) =>
		compareRuns([from('run 1', 'North yard'), from('run 2', second)])[0]!.warnings.join(' ');
	expect(told('South yard')).toContain('run 2 from another lot of that name: the difference holds that of the lots');
	expect(told('North yard')).toBe('');
});

test('a first run after a change is compared with a warning of carry-over', () => {
	const shared = normal('s', 0.02);
	const [comparison] = compareRuns([
		oneBin('run 1', 0.02, shared),
		{ ...oneBin('run 2', 0.02, shared), firstAfterChange: true },
	]);
	expect(comparison!.warnings[0]).toContain('run 2 was the first run after a change');
});

test('two runs of one name, or drawn with different seeds, are refused', () => {
	const shared = normal('s', 0.02);
	const run = oneBin('run 1', 0.02, shared);
	expect(() => compareRuns([run, run])).toThrow(RangeError);
	expect(() => compareRuns([run])).toThrow(RangeError);
	const other = { ...run, name: 'run 2', account: { ...run.account, seed: 21 } };
	expect(() => compareRuns([run, other])).toThrow('one seed');
});

test('a difference is printed in points with its sign and range', () => {
	expect(printPoints({ value: 0.0312, low: 0.0104, high: 0.0521 })).toBe('+3 points (1 to 5)');
	expect(printPoints({ value: 0.0008, low: -0.004, high: 0.0056 })).toBe('+0.1 points (−0.4 to +0.6)');
});

test('an ellipse of independent normal figures has their spreads for axes, and a correlated one leans', () => {
	const [x, y] = [normal('x', 2), normal('y', 1)];
	const upright = coverageEllipseOf(x, y);
	// half axes are 2.4477 standard deviations; those of 4000 draws repeat to about 1 %
	expect(upright.halfAxes[0] / (2 * 2.4477)).toBeCloseTo(1, 1);
	expect(upright.halfAxes[1] / 2.4477).toBeCloseTo(1, 1);
	expect(Math.abs(upright.angle)).toBeLessThan(0.05);
	const inside = Array.from(x).filter((_, i) => {
		const [dx, dy] = [x[i]! - upright.x, y[i]! - upright.y];
		const [c, s] = [Math.cos(upright.angle), Math.sin(upright.angle)];
		return ((c * dx + s * dy) / upright.halfAxes[0]) ** 2 + ((c * dy - s * dx) / upright.halfAxes[1]) ** 2 <= 1;
	});
	expect(inside.length / COUNT).toBeCloseTo(0.95, 1);
	const leaning = coverageEllipseOf(
		x,
		x.map((value, i) => value + 0.1 * y[i]!),
	);
	expect(leaning.angle).toBeCloseTo(Math.PI / 4, 1);
});

test('the spreads said to settle an open difference do settle it, and two fewer hardly do', () => {
	const shared = normal('s', 0.04);
	const run = (name: string, own: number, copper: number): ComparableRun => {
		const random = seededRandom(3, name);
		const bin = (id: 'concentrate' | 'tailings', massKg: number, grade: number, u: number) => {
			const draws = shared.map((error) => grade * (1 + error) * (1 + u * random.normal()));
			const zero = new Float64Array(COUNT);
			const gradeDraws = { copper: draws, aluminium: zero, insulation: draws.map((one) => 1 - one), other: zero };
			return { id, name: id, role: id, dryMassKg: { value: massKg, u: 0 }, gradeDraws };
		};
		const products = [bin('concentrate', 2, 0.8, 0.002), bin('tailings', 40, copper, own)];
		const spreads = { concentrate: 3, tailings: 3 };
		return { name, spreads, ...accountRun({ runId: name, seed: 20, drawCount: COUNT, products }) };
	};
	const compared = (own: number) => compareRuns([run('run 1', own, 0.005), run('run 2', own, 0.0042)])[0]!;
	const open = compared(0.15);
	expect(find(open.differences, 'concentrate', 'recovery').isClear).toBe(false);
	if (open.settle === undefined || open.settle === 'never') throw new Error('the difference can be settled');
	expect(open.settle.product).toBe('tailings');
	const with_ = (more: number) => compared(0.15 * Math.sqrt(3 / (3 + more)));
	const reach = ({ difference }: Difference) => difference.value / ((difference.high - difference.low) / 2);
	// draws repeat the width of an interval to about 2 %, which is a spread or two of so many
	const { spreads } = open.settle;
	expect(reach(find(with_(spreads).differences, 'concentrate', 'recovery'))).toBeGreaterThan(0.95);
	expect(reach(find(with_(Math.max(0, spreads - 2)).differences, 'concentrate', 'recovery'))).toBeLessThan(1.05);
	expect(comparisonSentences(open).join(' ')).toMatch(/more spreads? of tailings from each run would settle it/);
	// two runs as good as alike: nobody lays out the spreads that would tell them apart
	const alike = compareRuns([run('run 1', 0.15, 0.005), run('run 2', 0.15, 0.00499)])[0]!;
	expect(alike.settle).toBe('never');
	expect(comparisonSentences(alike).join(' ')).toContain('not even 30 more spreads of one bin');
});

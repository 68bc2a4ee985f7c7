import { expect, test } from 'vitest';
import { budgetOfRun, recoveryOf } from '@/lib/balance/budget';
import { type GradedRun, type WorkedOutRun, workOutRun } from '@/lib/balance/gradedRun';
import { nextMeasurements, trialsOf } from '@/lib/balance/nextMeasurement';
import { weighingSchema } from '@/lib/balance/weighing';
import { checkSchema } from '@/lib/grade/checkEntry';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { estimateOf } from '@/lib/quantity/estimateOf';
import { madeMaterial, madeRates, madeReading } from '../grade/madeReading';

const weighing = (gross: string) => weighingSchema.parse({ gross });
const spreadOf = (copper: number, insulation: number) => [
	madeReading({
		brightCopper: { count: copper, areaMm2: 0.6, widthMm: 0.4 },
		insulation: { count: insulation, areaMm2: 2, widthMm: 1.2 },
	}),
];
const run: GradedRun = {
	runId: 'made',
	feed: { weighing: weighing('10.0 kg') },
	products: [
		{ id: 'c', name: 'c', role: 'concentrate', weighing: weighing('2.0 kg'), spreads: [spreadOf(2000, 100)] },
		{ id: 't', name: 't', role: 'tailings', weighing: weighing('8.0 kg'), spreads: [spreadOf(60, 1200)] },
	],
};

test('a cause that is exactly known has no share, and the shares sum to one', () => {
	const budget = budgetOfRun(run, madeMaterial({ density: 0, factor: 0.1 }), madeRates(), { draws: 400, seed: 1 });
	const { lines } = budget.copperGrade.c!;
	expect(lines.reduce((sum, { varianceShare }) => sum + varianceShare, 0)).toBeCloseTo(1, 12);
	const uOf = (cause: string) => lines.find((line) => line.cause === cause)!.u;
	expect(uOf('thickness')).toBeGreaterThan(0);
	expect(uOf('sampling')).toBeGreaterThan(0);
	for (const known of ['density', 'confusion', 'rims', 'locked', 'unjudged', 'weights'])
		expect(uOf(known)).toBeLessThan(1e-12);
});

test("the causes' variances add up to the whole where none acts on another", () => {
	const budget = budgetOfRun(run, madeMaterial({ density: 0.02, factor: 0.05 }), madeRates(), { draws: 2000, seed: 1 });
	const { lines, u } = budget.copperGrade.c!;
	const sum = Math.sqrt(lines.reduce((total, line) => total + line.u ** 2, 0));
	// a standard deviation of 2000 draws is known to 1.6 %; two of them, and a little curvature
	expect(Math.abs(sum / u - 1)).toBeLessThan(0.06);
});

test('with every cause at work intervals of grades and recovery are no wider than the causes together explain', () => {
	const budget = budgetOfRun(run, DEFAULT_MATERIAL, madeRates(0.002, 0.4), { draws: 4000, seed: 1 });
	for (const { figure, lines } of [budget.copperGrade.c!, budget.copperGrade.t!, budget.recovery!]) {
		const explained = 2 * 1.96 * Math.sqrt(lines.reduce((total, line) => total + line.u ** 2, 0));
		// limits of 4000 draws repeat to 2 %; lopsided intervals, and causes that multiply, are some per cent off a normal sum
		expect((figure.high - figure.low) / explained).toBeLessThan(1.1);
	}
});

test('weights matter for the recovery and not for a grade', () => {
	const budget = budgetOfRun(run, madeMaterial(), madeRates(), { draws: 400, seed: 1 });
	const weights = (lines: readonly { readonly cause: string; readonly u: number }[]) =>
		lines.find(({ cause }) => cause === 'weights')!.u;
	expect(weights(budget.copperGrade.c!.lines)).toBeLessThan(1e-12);
	expect(weights(budget.recovery!.lines)).toBeGreaterThan(1e-4);
});

test('where a check contradicts the photos, the checks have the share, and what is known exactly or overruled has none', () => {
	const material = {
		...madeMaterial({ density: 0, factor: 0.1 }),
		lockedCopperPerInsulation: { value: 0.02, u: 0.005 },
	};
	const [concentrate, tailings] = run.products;
	const assay = (share: string) => checkSchema.parse({ kind: 'assay', component: 'copper', share, u: '1 %' });
	const sharesWith = (checks: GradedRun['products'][number]['checks']) => {
		const checked = { ...run, products: [{ ...concentrate!, ...(checks === undefined ? {} : { checks }) }, tailings!] };
		const { recovery } = budgetOfRun(checked, material, madeRates(), { draws: 1000, seed: 1 });
		return new Map(recovery!.lines.map(({ cause, varianceShare }) => [cause, varianceShare]));
	};
	const before = sharesWith(undefined);
	expect(before.has('checks')).toBe(false);
	const contradicted = sharesWith([assay('55 %')]);
	expect(contradicted.get('checks')).toBeGreaterThan(0.5);
	for (const known of ['density', 'confusion', 'unjudged'] as const) expect(contradicted.get(known)).toBeLessThan(0.01);
	expect([...contradicted.values()].reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);
});

const ofConcentrate = ({ gradeDraws }: WorkedOutRun) => gradeDraws.c?.copper;
const options = { draws: 1000, seed: 1 };

function nextOf(material: ReturnType<typeof madeMaterial>, rates: ReturnType<typeof madeRates>) {
	const { copperGrade, today } = budgetOfRun(run, material, rates, options);
	const trials = trialsOf(run, today, material, rates, options).filter(({ productId }) => productId === 'c');
	return nextMeasurements(copperGrade.c!, today, trials, ofConcentrate);
}

test('where thickness rules, a sort is the best next measurement, and brings what the real sort brings', () => {
	const material = {
		...madeMaterial({ density: 0, factor: 0.3 }),
		lockedCopperPerInsulation: { value: 0.02, u: 0.002 },
	};
	const [best] = nextOf(material, madeRates());
	expect(best).toMatchObject({ action: 'handSort', product: 'c' });
	// the sort really made, with what areas and widths give
	const massOf = (name: 'brightCopper' | 'insulation', count: number, areaMm2: number, widthMm: number) =>
		(count *
			areaMm2 *
			widthMm *
			material.classes[name].shape.factor.value *
			material.classes[name].densityKgPerM3.value) /
		1e6;
	const piles = {
		brightCopper: massOf('brightCopper', 2000, 0.6, 0.4).toFixed(2),
		insulation: massOf('insulation', 100, 2, 1.2).toFixed(2),
	};
	const [concentrate, tailings] = run.products;
	const check = checkSchema.parse({ kind: 'handSort', spread: 1, piles });
	const sorted = { ...run, products: [{ ...concentrate!, checks: [check] }, tailings!] };
	const widthOf = (of: GradedRun) => {
		const { low, high } = estimateOf(ofConcentrate(workOutRun(of, material, madeRates(), options))!);
		return high - low;
	};
	expect(best!.widthRatio).toBeCloseTo(widthOf(sorted) / widthOf(run), 2);
	expect(best!.widthRatio).toBeLessThan(0.8);
});

test('where nothing but the pieces scooped is uncertain, one more spread halves the variance', () => {
	const material = { ...madeMaterial(), lockedCopperPerInsulation: { value: 0.02, u: 0 } };
	const few: GradedRun = {
		...run,
		products: [{ ...run.products[0]!, spreads: [spreadOf(200, 40)] }, run.products[1]!],
	};
	const { copperGrade, today } = budgetOfRun(few, material, madeRates(), options);
	const next = nextMeasurements(
		copperGrade.c!,
		today,
		trialsOf(few, today, material, madeRates(), options),
		ofConcentrate,
	);
	expect(next[0]!.action).toBe('spread');
	// a width from 1000 draws is known to some 4 %; overlap counts too
	expect(Math.abs(next[0]!.widthRatio - Math.SQRT1_2)).toBeLessThan(0.1);
	expect(next[0]!.expected.high - copperGrade.c!.figure.value).toBeLessThan(
		copperGrade.c!.figure.high - copperGrade.c!.figure.value,
	);
});

test('the weight that rules the recovery is the one to better', () => {
	const material = { ...madeMaterial(), lockedCopperPerInsulation: { value: 0.02, u: 0 } };
	const coarse = weighingSchema.parse({ gross: '2.0 kg', resolution: '1 kg' });
	const rough: GradedRun = {
		...run,
		feed: {},
		products: [{ ...run.products[0]!, weighing: coarse }, run.products[1]!],
	};
	const { recovery, today } = budgetOfRun(rough, material, madeRates(), options);
	const trials = trialsOf(rough, today, material, madeRates(), options);
	const next = nextMeasurements(recovery!, today, trials, (worked) => recoveryOf(rough, worked)?.draws);
	expect(next[0]).toMatchObject({ action: 'weigh', product: 'c' });
});

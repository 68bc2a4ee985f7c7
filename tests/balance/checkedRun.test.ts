import { expect, test } from 'vitest';
import { copperNarrowingOf, explainRun } from '@/lib/balance/explainRun';
import { type GradedRun, workOutRun } from '@/lib/balance/gradedRun';
import { weighingSchema } from '@/lib/balance/weighing';
import { type Check, type CheckInput, checkSchema, checksOfKept } from '@/lib/grade/checkEntry';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { meanEstimateOf } from '@/lib/quantity/estimateOf';
import {
	agreementSentence,
	checkedCopperSentence,
	isDisagreement,
	neededSentence,
	neededSentences,
	nextSentence,
	partialSentence,
	samplingSentence,
} from '@/lib/report/checkSentences';
import { runFileSchema } from '@/lib/report/runFile';
import { madeMaterial, madeRates, madeReading } from '../grade/madeReading';
import { drawWorld, errorRatesOf, readSpreadOf } from '../grade/madeUpSpreads';

const material = {
	...madeMaterial({ density: 0.03, factor: 0.2 }),
	lockedCopperPerInsulation: { value: 0.02, u: 0.01 },
};
const spreadOf = (copper: number, insulation: number) => [
	madeReading({
		brightCopper: { count: copper, areaMm2: 0.6, widthMm: 0.4 },
		insulation: { count: insulation, areaMm2: 2, widthMm: 1.2 },
	}),
];

function runWith(checks: readonly CheckInput[]): GradedRun {
	const weighing = (gross: string) => weighingSchema.parse({ gross });
	return {
		runId: 'made',
		feed: { weighing: weighing('10.0 kg') },
		products: [
			{
				id: 'c',
				name: 'Concentrate',
				role: 'concentrate',
				weighing: weighing('2.0 kg'),
				spreads: [spreadOf(1500, 300), spreadOf(1450, 310)],
				checks: checks.map((check) => checkSchema.parse(check)),
			},
			{ id: 't', name: 'Tailings', role: 'tailings', weighing: weighing('8.0 kg'), spreads: [spreadOf(600, 1200)] },
		],
	};
}
const assay = (share: number, u: number) => checkSchema.parse({ kind: 'assay', share, u });
const workOut = (checks: readonly CheckInput[]) =>
	workOutRun(runWith(checks), material, madeRates(0.01, 0.3), { draws: 1000, seed: 2 });

test('a laboratory result beside the photos reaches the balance', () => {
	const without = workOut([]);
	const photos = without.grades.c!.massFraction.copper;
	const share = photos.value - 0.05;
	const { checked, account } = workOut([{ kind: 'assay', share, u: 0.005 }]);
	const reconciled = account.products[0]!.massFraction.reconciled.copper!;
	expect(checked.c!.combined.value).toBeLessThan(photos.value);
	expect(Math.abs(reconciled.value - checked.c!.combined.value)).toBeLessThan(0.002);
	expect(reconciled.high - reconciled.low).toBeLessThan(photos.high - photos.low);
	expect(account.products[0]!.recovery.copper!.value).toBeLessThan(without.account.products[0]!.recovery.copper!.value);
});

test('a laboratory result far from the photos is said to disagree, with its size', () => {
	const { checked } = workOut([{ kind: 'assay', share: 0.2, u: 0.005 }]);
	expect(agreementSentence(checked.c!)).toMatch(
		/disagree: .*: \d+\.\d standard deviations from the rest \(by chance alone: under 0\.1\s%\)/,
	);
	// the product's own page and its tile say so too
	expect(isDisagreement(checked.c!)).toBe(true);
	expect(checkedCopperSentence(checked.c!)).toMatch(/^With its checks: copper \d+(\.\d+)?\s% \(.* to .*\)\.$/);
});

test('a magnet beside the photos moves no copper, so nothing more is said of it', () => {
	const { checked } = workOut([{ kind: 'magnet', sample: '50 g', pulled: '0.4 g' }]);
	expect(checkedCopperSentence(checked.c!)).toBeUndefined();
});

test('a pile of a class that the picture does not hold teaches nothing about it', () => {
	const reading = madeReading({
		brightCopper: { count: 1500, areaMm2: 0.6, widthMm: 0.4 },
		tinnedCopper: { count: 8, areaMm2: 0.001, widthMm: 0.4 },
		insulation: { count: 300, areaMm2: 2, widthMm: 1.2 },
	});
	const run = runWith([{ kind: 'handSort', spread: 1, piles: { tinnedCopper: '0.4 g', insulation: '0.9 g' } }]);
	const [product, ...rest] = run.products;
	const { sorting } = workOutRun(
		{ ...run, products: [{ ...product!, spreads: [[reading]] }, ...rest] },
		material,
		madeRates(0.05, 0.3),
		{ draws: 1000, seed: 2 },
	);
	expect(sorting.learned.map(({ name }) => name)).toEqual(['insulation']);
});

test('what the photos could not tell from nothing stays so marked when a check moves the copper', () => {
	const without = workOut([]);
	expect(without.grades.c!.massFraction.aluminium.belowDetectionLimit).toBe(true);
	const { account, checked } = workOut([{ kind: 'assay', share: 0.9, u: 0.005 }]);
	const [concentrate] = account.products;
	const { aluminium, copper } = concentrate!.massFraction.measured;
	expect(aluminium!.belowDetectionLimit).toBe(true);
	expect(aluminium!.low).toBe(0);
	expect(aluminium!.high).toBeGreaterThanOrEqual(without.grades.c!.massFraction.aluminium.high);
	expect(concentrate!.massFraction.reconciled.aluminium!.belowDetectionLimit).toBe(true);
	expect(copper!.belowDetectionLimit).toBeUndefined();
	expect(copper!.value).toBeCloseTo(checked.c!.combined.value, 2);
});

test('what is told beside something below detection reaches as far in a checked product as in the balance', () => {
	const rates = errorRatesOf(0.02, 0.4);
	const spreads = [[readSpreadOf('lean', drawWorld(1, DEFAULT_MATERIAL, rates), '1')]];
	const product = { id: 'm', name: 'Middlings', role: 'middlings', spreads, checks: [assay(0.02, 0.005)] } as const;
	const { account, productDraws } = workOutRun({ runId: 'made', products: [product] }, DEFAULT_MATERIAL, rates);
	const { measured, reconciled } = account.products[0]!.massFraction;
	expect(measured.aluminium!.belowDetectionLimit).toBe(true);
	expect(measured.insulation!.high).toBeGreaterThan(meanEstimateOf(productDraws.m!.insulation).high + 1e-4);
	expect(measured.insulation!.high).toBeCloseTo(reconciled.insulation!.high, 6);
	// as its page tells it
	expect(measured.copper!.high).toBeCloseTo(meanEstimateOf(productDraws.m!.copper).high, 9);
});

test('a laboratory result that its own uncertainty can make of nothing is below detection', () => {
	const run = runWith([]);
	const products = [
		{ id: 't', name: 'Tailings', role: 'tailings' as const, spreads: [], checks: [assay(0.001, 0.001)] },
		{ id: 'u', name: 'Tailings 2', role: 'tailings' as const, spreads: [], checks: [assay(0.01, 0.001)] },
	];
	const { account } = workOutRun({ ...run, products }, material, madeRates(0.01, 0.3), { draws: 1000, seed: 2 });
	const [lean, told] = account.products.map(({ massFraction }) => massFraction.reconciled.copper!);
	expect(lean!.belowDetectionLimit).toBe(true);
	expect(lean!.low).toBe(0);
	expect(told!.belowDetectionLimit).toBeUndefined();
});

test('a hand sort of the concentrate helps the tailings too, since they share the material', () => {
	const widthOf = (checks: readonly CheckInput[]) => {
		const { low, high } = workOut(checks).grades.t!.massFraction.copper;
		return high - low;
	};
	const piles = { brightCopper: '2.53 g', insulation: '0.79 g' };
	expect(widthOf([{ kind: 'handSort', spread: 1, piles }])).toBeLessThan(widthOf([]));
});

test('stripped insulation sets the locked copper of its product', () => {
	const strip = checkSchema.parse({ kind: 'strip', picks: 400, before: '20.0 g', copper: '2.00 g' });
	const run = runWith([]);
	const products = run.products.map((one) => (one.id === 't' ? { ...one, checks: [strip] } : one));
	const { lockedCopper } = workOutRun({ ...run, products }, material, madeRates(0.01, 0.3), { draws: 1000, seed: 2 });
	// a tenth of the insulation pieces' mass is copper: 1/9 of the bare insulation, which is nearly all of the tailings
	expect(lockedCopper.t!.value).toBeGreaterThan(0.07);
	expect(lockedCopper.t!.value).toBeLessThan(0.11);
});

test('hand sorts follow their spreads when one of them cannot be read', () => {
	const checks = [1, 2, 3].map((spread) =>
		checkSchema.parse({ kind: 'handSort', spread, piles: { insulation: '1 g' } }),
	);
	const kept = checksOfKept(checks, [0, 2]);
	expect(kept.map((check) => check.kind === 'handSort' && check.spread)).toEqual([1, 2]);
});

test('a run explained names its causes, its next measurement and its spreads in sentences', () => {
	const told = workOut([]);
	const { products, recovery } = explainRun(runWith([]), material, madeRates(0.01, 0.3), told);
	// the figures that every other page shows, not those of the budget's own, fewer draws
	expect(products.c!.budget.figure).toEqual(told.grades.c!.massFraction.copper);
	expect(recovery!.unlessLost).toBe(false);
	expect(recovery!.budget.figure).toEqual(told.account.together.concentrate!.recovery.copper);
	expect(nextSentence(products.c!)).toMatch(
		/^Best next, on Concentrate: .*\. The range would be about 0\.\d+ times as wide as now: /,
	);
	expect(samplingSentence(products.c!)).toMatch(/^Counting pieces alone, one spread of about .* g can tell/);
	expect(neededSentence(0.2, products.c!)).toMatch(/± 20 points: 1 spread like these\./);
	expect(neededSentence(0.0001, products.c!)).toMatch(/out of reach by spreading alone/);
	// what can't be reached is told once, by the widest of it
	expect(neededSentences([0.0001, 0.0002, 0.2], products.c!)).toEqual([
		neededSentence(0.0002, products.c!),
		neededSentence(0.2, products.c!),
	]);
	// a rich product is to be known by what is not copper in it: more than a tenth of its copper would ask for
	expect(products.c!.budget.figure.value).toBeGreaterThan(0.6);
	expect(products.c!.beforehand.every(({ massG }) => massG > 0.1)).toBe(true);
	expect(recovery!.budget.lines.some(({ cause, u }) => cause === 'weights' && u > 0)).toBe(true);
});

test("how one product's copper narrows is what the whole run's explanation says of it, checks of its neighbours included", () => {
	const sorted = runWith([{ kind: 'handSort', spread: 1, piles: { brightCopper: '2.53 g', insulation: '0.79 g' } }]);
	const rates = madeRates(0.01, 0.3);
	const { feed: _, ...unfed } = sorted;
	const { products, recovery } = explainRun(unfed, material, rates, workOutRun(unfed, material, rates, { draws: 400 }));
	expect(recovery!.unlessLost).toBe(true);
	for (const id of ['c', 't']) {
		const { perSpreadU, otherU } = products[id]!;
		expect(copperNarrowingOf(sorted, id, material, rates)).toEqual({ perSpreadU, otherU });
	}
	expect(copperNarrowingOf(sorted, 'not there', material, rates)).toBeUndefined();
});

test.each([
	[
		{ kind: 'handSort', spread: 2, piles: { insulation: '1 g' } },
		'A hand sort or a blank names a spread that the product does not have. The first spread is 1.',
	],
	[
		{ kind: 'assay', component: 'aluminium', share: '12 %', u: '1 %' },
		'Only a laboratory result for copper counts. Leave the others out.',
	],
])('a run file with the check %j is refused with a sentence', (check, sentence) => {
	const product = { name: 'c', role: 'concentrate', photos: [{ photo: 'a.jpg' }], checks: [check] };
	const file = { deckside: 'run/1', name: 'r', products: [product] };
	const messages = runFileSchema.safeParse(file).error?.issues.map(({ message }) => message);
	expect(messages).toEqual([sentence]);
});

/** The run with a third spread of the concentrate and these sorts of its spreads. */
function workOutSorted(checks: readonly Check[]) {
	const run = runWith([]);
	const [product, ...others] = run.products;
	const sorted = { ...product!, spreads: [...product!.spreads, spreadOf(1480, 305)], checks };
	return workOutRun({ ...run, products: [sorted, ...others] }, material, madeRates(0.01, 0.3), {
		draws: 1000,
		seed: 2,
	});
}
const sortOf = (spread: number, piles: Record<string, string>) =>
	checkSchema.parse({ kind: 'handSort', spread, piles });

test('of several sorts of one spread the last counts, and none stops the run from being worked out', () => {
	const sort = (spread: number, brightCopper: string) => sortOf(spread, { brightCopper, insulation: '0.80 g' });
	const once = workOutSorted([sort(2, '2.60 g'), sort(1, '2.70 g'), sort(3, '2.65 g')]);
	const again = workOutSorted([sort(1, '9.90 g'), sort(2, '2.60 g'), sort(1, '2.70 g'), sort(3, '2.65 g')]);
	expect(once.checked.c!.estimates.map(({ origin }) => origin)).toEqual(['differences']);
	expect(again.checked.c!.estimates).toEqual(once.checked.c!.estimates);
	expect(again.sorting.piles).toEqual(once.sorting.piles);
});

test('three sorts without their insulation are no grade of nearly pure copper: they say so and teach the copper alone', () => {
	const { checked, sorting } = workOutSorted([1, 2, 3].map((spread) => sortOf(spread, { brightCopper: '2.70 g' })));
	expect(checked.c!.estimates.map(({ origin }) => origin)).toEqual(['photos']);
	expect(sorting.learned.map(({ name }) => name)).toEqual(['brightCopper']);
	expect(sorting.points).toEqual([]);
	expect(sorting.partial.map(partialSentence)[0]).toBe(
		'The sort of spread 1 of Concentrate leaves out the pile “Insulation”: it tells masses per area, but no grade. Weigh it too, or write 0 if there was nothing, and enter the sort again.',
	);
	expect(sorting.partial).toHaveLength(3);
});

import { expect, test } from 'vitest';
import { type GradedRun, workOutRun } from '@/lib/balance/gradedRun';
import { withChecksInPlace } from '@/lib/balance/runChecks';
import { weighingSchema } from '@/lib/balance/weighing';
import { withBlanks } from '@/lib/grade/blankRates';
import { type CheckInput, checkSchema } from '@/lib/grade/checkEntry';
import { READING_KINDS } from '@/lib/grade/errorRates';
import type { Lesson } from '@/lib/grade/lesson';
import { pictureLineOf } from '@/lib/grade/pictureLine';
import { MATERIAL_CLASSES } from '@/lib/material/classes';
import type { Material } from '@/lib/material/material';
import { perName } from '@/lib/quantity/perName';
import type { Estimate } from '@/lib/quantity/quantity';
import { madeMaterial, madeRates, madeReading } from '../grade/madeReading';

const material = madeMaterial({ density: 0.03, factor: 0.2 });
const spreadOf = (copper: number, insulation: number) =>
	madeReading({
		brightCopper: { count: copper, areaMm2: 0.6, widthMm: 0.4 },
		insulation: { count: insulation, areaMm2: 2, widthMm: 1.2 },
	});
const widthOf = ({ low, high }: Estimate) => high - low;

function runWith(
	checks: readonly CheckInput[],
	lessons: readonly Lesson[] = [],
	second = spreadOf(520, 410),
): GradedRun {
	return {
		runId: 'made',
		lessons,
		products: [
			{
				id: 'm',
				name: 'Middlings',
				role: 'middlings',
				weighing: weighingSchema.parse({ gross: '5.0 kg', moisture: { kind: 'fraction', fraction: 0.1, u: 0.05 } }),
				spreads: [[spreadOf(500, 400)], [second]],
				checks: checks.map((check) => checkSchema.parse(check)),
			},
		],
	};
}
const workOut = (run: GradedRun, of: Material = material) =>
	workOutRun(run, of, madeRates(0.0005, 1), { draws: 2000, seed: 2 });

const sort = (copperG: number, insulationG: number) =>
	checkSchema.parse({
		kind: 'handSort',
		spread: 1,
		piles: { brightCopper: `${copperG.toFixed(2)} g`, insulation: `${insulationG.toFixed(2)} g` },
	});

test('a sort of another run narrows the grade of this one, about what the sort found', () => {
	const reading = spreadOf(600, 300);
	// a third more copper for its area than areas and widths give
	const lesson: Lesson = { label: 'spread 1 of Middlings, run 1', check: sort(1.35, 0.79), reading };
	const [without, taught] = [workOut(runWith([])), workOut(runWith([], [lesson]))];
	const grade = (worked: typeof without) => worked.grades.m!.massFraction.freeCopper;
	expect(widthOf(grade(taught))).toBeLessThan(0.8 * widthOf(grade(without)));
	expect(grade(taught).value).toBeGreaterThan(grade(without).value);
	expect(taught.sorting.points.map(({ label }) => label)).toEqual(['spread 1 of Middlings, run 1']);
});

test('a sort of another run takes off nothing of what is called wrongly in this one', () => {
	// areas come out a tenth too large or too small from scene to scene; mass per area is known to three
	const gain = { logMean: 0, logSd: 0.1 };
	const rates = perName(READING_KINDS, (kind) => ({
		...madeRates()[kind],
		areaGain: MATERIAL_CLASSES.map(() => gain),
	}));
	const widthIn = (run: GradedRun) =>
		widthOf(
			workOutRun(run, madeMaterial({ density: 0.3, factor: 0 }), rates, { draws: 2000, seed: 2 }).grades.m!.massFraction
				.freeCopper,
		);
	const piles = { brightCopper: '0.85 g', insulation: '1.05 g' };
	const sorted = { kind: 'handSort', spread: 1, piles } satisfies CheckInput;
	const label = 'spread 1 of Middlings, run 1';
	const lesson: Lesson = { label, check: checkSchema.parse(sorted), reading: spreadOf(500, 400) };
	const [without, own, taught] = [runWith([]), runWith([sorted]), runWith([], [lesson])].map(widthIn);
	// this run's own sort felt this run's errors: what it weighed takes them off
	expect(own).toBeLessThan(0.3 * without!);
	// another's felt others: mass per area is known to a tenth then, and areas here no better than before
	expect(taught).toBeGreaterThan(2 * own!);
	expect(taught).toBeLessThan(0.7 * without!);
});

test('stripped insulation of another run stands in for the default, with the scatter between runs', () => {
	const strip = (copper: string) =>
		checkSchema.parse({ kind: 'strip', picks: 400, before: '100 g', copper: `${copper} g` });
	const { lockedCopperPerInsulation: _, ...unchecked } = material;
	const lockedOf = (run: GradedRun) => workOut(run, unchecked).lockedCopper.m!;
	const lesson: Lesson = { label: 'Middlings, run 1', check: strip('4.00') };
	const [usual, taught] = [lockedOf(runWith([])), lockedOf(runWith([], [lesson]))];
	expect(widthOf(taught)).toBeLessThan(widthOf(usual));
	const own = lockedOf(runWith([{ kind: 'strip', picks: 400, before: '100 g', copper: '4.00 g' }]));
	// one's own strip tells more than another run's
	expect(widthOf(own)).toBeLessThan(widthOf(taught));
});

test('a blank leaves the grade, lowers the false calls that it did not show, and narrows what is left', () => {
	const rates = madeRates(0.02, 1);
	const blank = spreadOf(0, 3000);
	const after = withBlanks(rates, [{ reading: blank, freeOf: ['copper'] }]);
	const [was, now] = [rates['threshold-mat'], after['threshold-mat']];
	expect(now.rate[4]![1]!).toBeLessThan(was.rate[4]![1]!);
	expect(now.logSd[4]![1]!).toBeLessThan(was.logSd[4]![1]!);
	// aluminium was not told to be missing, and trays were not photographed
	expect(now.rate[4]![3]!).toBe(was.rate[4]![3]!);
	expect(after['threshold-tray']).toEqual(rates['threshold-tray']);
	expect(now.rate[4]!.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);

	const { products, lessons } = withChecksInPlace(runWith([{ kind: 'blank', spread: 2 }], [], spreadOf(0, 1500)));
	expect(products[0]!.spreads).toHaveLength(1);
	expect(lessons!.map(({ label }) => label)).toEqual(['spread 2 of Middlings']);
	const alone = runWith([]);
	const one = { ...alone, products: [{ ...alone.products[0]!, spreads: [[spreadOf(500, 400)]] }] };
	const grade = workOut(runWith([{ kind: 'blank', spread: 2 }], [], spreadOf(0, 1500))).grades.m!.massFraction
		.freeCopper;
	// false calls are a small part of what a rich spread is uncertain by
	expect(Math.abs(grade.value - workOut(one).grades.m!.massFraction.freeCopper.value)).toBeLessThan(0.03);
});

test('a blank with as many false calls as usual leaves the rate where it was', () => {
	const rates = madeRates(0.02, 1);
	const was = rates['threshold-mat'];
	const before = was.logSd[4]![1]! ** 2;
	const middle = was.rate[4]![1]! * Math.exp(-before / 2);
	const blank = madeReading({
		brightCopper: { count: Math.round(100_000 * middle), areaMm2: 1, widthMm: 0.5 },
		insulation: { count: Math.round(100_000 * (1 - middle)), areaMm2: 1, widthMm: 1 },
	});
	const { rate, logSd } = withBlanks(rates, [{ reading: blank, freeOf: ['copper'] }])['threshold-mat'];
	const [mean, sd] = [rate[4]![1]!, logSd[4]![1]!];
	expect(Math.log(mean) - sd ** 2 / 2).toBeCloseTo(Math.log(middle), 1);
	// half the variance is each spread's own; the blank takes half of the other half
	expect(sd ** 2).toBeCloseTo(0.75 * before, 1);
});

test('a dried sub-sample takes the place of the moisture in the weighing', () => {
	const massOf = (checks: readonly CheckInput[]) => workOut(runWith(checks)).account.products[0]!.dryMassKg.measured!;
	const dried = massOf([{ kind: 'moisture', wet: '100.00 g', dry: '88.00 g' }]);
	expect(dried.value).toBeCloseTo(5 * 0.88, 3);
	expect(widthOf(dried)).toBeLessThan(0.3 * widthOf(massOf([])));
	expect(checkSchema.safeParse({ kind: 'moisture', wet: '88 g', dry: '100 g' }).success).toBe(false);
});

test('five sorts of different grades give the line of pictures against piles', () => {
	const sorted = [200, 400, 800, 1200, 1600].map((copper, k) => {
		const reading = spreadOf(copper, 500 - 50 * k);
		const massOf = (count: number, areaMm2: number, widthMm: number, densityKgPerM3: number) =>
			(count * areaMm2 * widthMm * (Math.PI / 4) * densityKgPerM3) / 1e6;
		// every pile as areas and widths give it: pictures are right
		const check = sort(massOf(copper, 0.6, 0.4, 8960), massOf(500 - 50 * k, 2, 1.2, 1400));
		return { label: `spread ${k + 1}`, reading, check: check as Extract<typeof check, { kind: 'handSort' }> };
	});
	const { line, points } = pictureLineOf(sorted, material);
	expect(points).toHaveLength(5);
	expect(line!.slope.value).toBeCloseTo(1, 2);
	expect(line!.intercept.value).toBeCloseTo(0, 2);
	expect(pictureLineOf(sorted.slice(0, 4), material).line).toBeUndefined();
});

test('stripped insulation tells of bins of its kind: none in the tailings stays none beside middlings full of cores', () => {
	const { lockedCopperPerInsulation: _, ...unchecked } = material;
	const strip = (copper: string) =>
		checkSchema.parse({ kind: 'strip', picks: 100, before: '20 g', copper: `${copper} g` });
	const lockedOf = (middlings: readonly string[], tailings: readonly string[], lessons: readonly Lesson[] = []) => {
		const run = runWith([], lessons);
		const of = (role: 'middlings' | 'tailings', copper: readonly string[]) => ({
			...run.products[0]!,
			id: role,
			name: role,
			role,
			checks: copper.map(strip),
		});
		const products = [of('middlings', middlings), of('tailings', tailings)];
		return workOut({ ...run, products }, unchecked).lockedCopper;
	};
	const [usual, both] = [lockedOf([], []), lockedOf(['4.00'], ['0'])];
	expect(both.tailings!.high).toBeLessThan(0.05);
	expect(both.middlings!.low).toBeGreaterThan(0.05);
	expect(lockedOf(['4.00'], []).tailings).toEqual(usual.tailings);
	const lesson = { label: 'Middlings, run 1', check: strip('4.00') };
	expect(lockedOf([], [], [{ ...lesson, role: 'middlings' }]).tailings).toEqual(usual.tailings);
	expect(lockedOf([], [], [{ ...lesson, role: 'tailings' }]).tailings).not.toEqual(usual.tailings);
	expect(lockedOf([], [], [lesson]).tailings).not.toEqual(usual.tailings);
});

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { workOutRun } from '@/lib/balance/gradedRun';
import { gradePhoto } from '@/lib/grade/gradePhoto';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { spreadSamplingOf } from '@/lib/grade/samplingPlan';
import { samplingVarianceOf } from '@/lib/grade/samplingVariance';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { spreadNames } from '@/lib/grade/spreadNames';
import { COMPONENTS, MATERIAL_CLASSES } from '@/lib/material/classes';
import { meanOf } from '@/lib/quantity/moments';
import type { Estimate } from '@/lib/quantity/quantity';
import { DEFAULT_SEED } from '@/lib/quantity/seededRandom';
import { madeMaterial, madeRates, madeReading } from './madeReading';

const N = 2000;
const widthOf = ({ low, high }: Estimate) => high - low;

test('copper that a material says pieces of other classes hold counts as copper, as it does where they are weighed', () => {
	const brass = madeMaterial();
	const { other } = brass.classes;
	const material = {
		...brass,
		classes: { ...brass.classes, other: { ...other, copperFraction: { value: 0.6, u: 0 } } },
	};
	const reading = madeReading({
		other: { count: 400, areaMm2: 2, widthMm: 1 },
		insulation: { count: 400, areaMm2: 2, widthMm: 1 },
	});
	const shared = drawSharedErrors(material, madeRates(0), 200, 3);
	const { draws, tables } = gradeProduct([[reading]], material, shared);
	expect(tables.massFraction.copper.belowDetectionLimit).toBeUndefined();
	// 5000 and 1400 kg/m3 at one thickness
	const share = 5000 / 6400;
	expect(Math.abs(meanOf(draws.copper) - 0.6 * share)).toBeLessThan(0.02);
	expect(Math.abs(meanOf(draws.other) - 0.4 * share)).toBeLessThan(0.02);
	const { gradePerSpread } = spreadSamplingOf([[reading]], material);
	expect(gradePerSpread[0]).toBeCloseTo(0.6 * share, 9);
});

test('pieces that a material says hold no copper, give or take some, may hold some and never less than none', () => {
	const { classes, ...made } = madeMaterial();
	const gradedWith = (u: number) => {
		const material = { ...made, classes: { ...classes, other: { ...classes.other, copperFraction: { value: 0, u } } } };
		const reading = madeReading({
			brightCopper: { count: 400, areaMm2: 1, widthMm: 1 },
			other: { count: 400, areaMm2: 2, widthMm: 1 },
		});
		return gradeProduct([[reading]], material, drawSharedErrors(material, madeRates(0), N, 3)).draws.copper;
	};
	const [none, some] = [gradedWith(0), gradedWith(0.1)];
	const more = some.map((share, i) => share - none[i]!);
	expect(more.every((one) => one >= -1e-12)).toBe(true);
	// 8960 and twice 5000 kg/m3 at one thickness: half a normal distribution of 0.1 has a mean of 0.1 sqrt(2 / pi)
	expect(meanOf(more) / (0.1 * Math.sqrt(2 / Math.PI) * (10_000 / 18_960))).toBeCloseTo(1, 1);
});

test('5 % of the area as 0.2 mm strand among 1 mm pieces is 5.0 % of the mass, not 26 %', () => {
	// area to mass: w = A rho t / sum(A rho t) with a lying wire's mean thickness pi d / 4 (geometry; common to both classes here)
	const material = madeMaterial();
	const reading = madeReading({
		brightCopper: { count: 100_000, areaMm2: 0.0001, widthMm: 0.2 },
		insulation: { count: 100_000, areaMm2: 0.0019, widthMm: 1.2732395 }, // mean thickness 1.0 mm
	});
	const { tables } = gradeProduct([[reading]], material, drawSharedErrors(material, madeRates(), N, 1));
	expect(tables.massFraction.freeCopper.value).toBeCloseTo(0.05025, 3);
	expect(tables.densityOnlyMassFraction.freeCopper.value).toBeCloseTo((0.05 * 8.96) / (0.05 * 8.96 + 0.95 * 1.4), 3);
});

test('a photo says the same by itself and as the only photo of a product', () => {
	const [material, rates] = [madeMaterial({ density: 0.02, factor: 0.1 }), madeRates(0.05, 0.4)];
	const reading = madeReading({
		brightCopper: { count: 40, areaMm2: 0.6, widthMm: 0.3 },
		aluminium: { count: 300, areaMm2: 1.5, widthMm: 0.8 },
		insulation: { count: 900, areaMm2: 2, widthMm: 1.2 },
	});
	const products = [{ id: 'bin', name: 'Bin', role: 'middlings' as const, spreads: [[reading]] }];
	const { grades } = workOutRun({ runId: 'run', products }, material, rates);
	expect(gradePhoto(reading, material, rates)).toEqual(grades.bin);
});

test('mass fractions of copper, aluminium, insulation and other sum to one, and so do the class shares', () => {
	const material = madeMaterial({ density: 0.02, factor: 0.1 });
	const count = fc.integer({ min: 1, max: 3000 });
	fc.assert(
		fc.property(count, count, count, count, (bright, tinned, aluminium, insulation) => {
			const reading = madeReading({
				brightCopper: { count: bright, areaMm2: 0.6, widthMm: 0.3 },
				tinnedCopper: { count: tinned, areaMm2: 0.5, widthMm: 0.2 },
				aluminium: { count: aluminium, areaMm2: 1.5, widthMm: 0.8 },
				insulation: { count: insulation, areaMm2: 2, widthMm: 1.2 },
			});
			const shared = drawSharedErrors(material, madeRates(0.05, 0.4), 200, 3);
			const { tables, draws } = gradeProduct([[reading]], material, shared);
			for (const i of [0, 77, 199]) {
				expect(COMPONENTS.reduce((sum, name) => sum + draws[name][i]!, 0)).toBeCloseTo(1, 9);
			}
			expect(COMPONENTS.reduce((sum, name) => sum + tables.massFraction[name].value, 0)).toBeCloseTo(1, 9);
			expect(MATERIAL_CLASSES.reduce((sum, name) => sum + tables.classMassFraction[name].value, 0)).toBeCloseTo(1, 9);
			expect(MATERIAL_CLASSES.reduce((sum, name) => sum + tables.areaFraction[name].value, 0)).toBeCloseTo(1, 9);
		}),
		{ numRuns: 15 },
	);
});

test('the piece count gives each class its share of the fundamental sampling error', () => {
	// two-part form of Gy's error for a liberated mix: var g = g (1-g) [(1-g) m1 + g m2] / M
	const material = madeMaterial();
	const reading = madeReading({
		brightCopper: { count: 400, areaMm2: 0.5, widthMm: 0.4 },
		insulation: { count: 900, areaMm2: 2, widthMm: 1.1 },
	});
	const mass = (count: number, areaMm2: number, widthMm: number, density: number) =>
		count * areaMm2 * widthMm * (Math.PI / 4) * density;
	const copper = mass(400, 0.5, 0.4, 8960);
	const plastic = mass(900, 2, 1.1, 1400);
	const g = copper / (copper + plastic);
	const gy = (g * (1 - g) * ((1 - g) * (copper / 400) + g * (plastic / 900))) / (copper + plastic);
	const variance = samplingVarianceOf(reading, material);
	expect(g ** 2 * (1 - g) ** 2 * (variance.brightCopper + variance.insulation)).toBeCloseTo(gy, 9);
});

test('more spreads never widen the interval when nothing but sampling is uncertain', () => {
	const material = madeMaterial();
	const shared = drawSharedErrors(material, madeRates(), N, 5);
	const reading = madeReading({
		brightCopper: { count: 60, areaMm2: 0.6, widthMm: 0.3 },
		insulation: { count: 600, areaMm2: 2, widthMm: 1.2 },
	});
	const widths = [1, 2, 4, 8].map((spreads) => {
		const readings = Array.from({ length: spreads }, () => [reading]);
		return widthOf(gradeProduct(readings, material, shared).tables.massFraction.copper);
	});
	widths.slice(1).forEach((width, i) => {
		expect(width).toBeLessThan(widths[i]!);
	});
	expect(widths[0]! / widths[2]!).toBeCloseTo(2, 0); // four times the pieces, half the width
});

test('spreads that differ more than their pieces explain widen the interval', () => {
	const material = madeMaterial();
	const shared = drawSharedErrors(material, madeRates(), N, 5);
	const withCopper = (count: number) =>
		madeReading({
			brightCopper: { count, areaMm2: 0.6, widthMm: 0.3 },
			insulation: { count: 600, areaMm2: 2, widthMm: 1.2 },
		});
	const alike = gradeProduct([[withCopper(200)], [withCopper(200)]], material, shared);
	const apart = gradeProduct([[withCopper(60)], [withCopper(340)]], material, shared);
	expect(widthOf(apart.tables.massFraction.copper)).toBeGreaterThan(1.5 * widthOf(alike.tables.massFraction.copper));
});

test('a second photo of the same spread counts no piece twice', () => {
	const material = madeMaterial();
	const shared = drawSharedErrors(material, madeRates(), N, 5);
	const reading = madeReading({
		brightCopper: { count: 60, areaMm2: 0.6, widthMm: 0.3 },
		insulation: { count: 600, areaMm2: 2, widthMm: 1.2 },
	});
	const once = gradeProduct([[reading]], material, shared).tables.massFraction.copper;
	const twice = gradeProduct([[reading, reading]], material, shared).tables.massFraction.copper;
	expect(widthOf(twice)).toBeCloseTo(widthOf(once), 2);
});

test('copper that false calls alone could show is below the detection limit', () => {
	const material = madeMaterial();
	const shared = drawSharedErrors(material, madeRates(0.02, 0.5), N, 7);
	const trace = madeReading({
		brightCopper: { count: 20, areaMm2: 0.6, widthMm: 0.3 },
		insulation: { count: 3000, areaMm2: 2, widthMm: 1.2 },
	});
	const rich = madeReading({
		brightCopper: { count: 2000, areaMm2: 0.6, widthMm: 0.3 },
		insulation: { count: 3000, areaMm2: 2, widthMm: 1.2 },
	});
	const lean = gradeProduct([[trace]], material, shared).tables.massFraction.copper;
	expect(lean.belowDetectionLimit).toBe(true);
	expect(lean.low).toBe(0);
	expect(lean.high).toBeGreaterThan(0);
	expect(gradeProduct([[rich]], material, shared).tables.massFraction.copper.belowDetectionLimit).toBeUndefined();
});

test('none among n pieces leaves three in n open, however clean the picture, and two photos of one spread are no more pieces', () => {
	// the exact bound of nought among n at 95 % is 1 - 0.05^(1/n), just under 3/n
	const material = madeMaterial();
	const reading = madeReading({
		brightCopper: { count: 1400, areaMm2: 0.6, widthMm: 0.4 },
		insulation: { count: 400, areaMm2: 2, widthMm: 1.2 },
	});
	const shared = drawSharedErrors(material, madeRates(), N, 1);
	const limitOf = (spreads: Parameters<typeof gradeProduct>[0]) => {
		const { aluminium } = gradeProduct(spreads, material, shared).tables.massFraction;
		expect(aluminium.belowDetectionLimit).toBe(true);
		return aluminium.high;
	};
	const exact = 1 - 0.05 ** (1 / 1800);
	expect(limitOf([[reading]])).toBeGreaterThanOrEqual(exact);
	expect(limitOf([[reading]])).toBeLessThan(1.01 * exact);
	expect(limitOf([[reading, reading]])).toBeCloseTo(limitOf([[reading]]), 12);
	expect(limitOf([[reading], [reading], [reading]])).toBeCloseTo(limitOf([[reading]]) / 3, 12);
});

test('the same photos give the same figures whatever run and bin they are in, and other photos draw apart', () => {
	const material = madeMaterial({ density: 0.02, factor: 0.1 });
	const rates = madeRates(0.02, 0.4);
	const spread = (copper: number) =>
		madeReading({
			brightCopper: { count: copper, areaMm2: 0.6, widthMm: 0.3 },
			insulation: { count: 600, areaMm2: 2, widthMm: 1.2 },
		});
	const [lean, rich] = [
		[[spread(40)], [spread(50)]],
		[[spread(400)], [spread(500)]],
	];
	const run = (runId: string, ...bins: (typeof lean)[]) =>
		workOutRun(
			{ runId, products: bins.map((spreads, p) => ({ id: `bin ${p}`, name: 'bin', role: 'middlings', spreads })) },
			material,
			rates,
			{ draws: 300 },
		);
	const one = run('one', lean, rich);
	const other = run('other', rich, lean);
	expect(one.grades['bin 0']).toEqual(other.grades['bin 1']);
	const alone = gradeProduct(lean, material, drawSharedErrors(material, rates, 300, DEFAULT_SEED));
	expect(alone.tables).toEqual(one.grades['bin 0']);
	// two spreads that read alike are other pieces all the same
	const [first, second] = spreadNames([[spread(40)], [spread(40)]]);
	expect(first!.name).not.toBe(second!.name);
	expect([first!.isRepeated, second!.isRepeated]).toEqual([false, true]);
});

import { expect, test } from 'vitest';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { quantileOf } from '@/lib/quantity/estimateOf';
import { seededRandom } from '@/lib/quantity/seededRandom';
import reference from '../reference/classifier.json';
import sampling from '../reference/sampling.json';
import { madeMaterial, madeRates, madeReading } from './madeReading';
import { drawWorld, errorRatesOf, readSpreadOf, truthOf } from './madeUpSpreads';

test('blanks of clean plastic read below detection but for about 5 in 100', () => {
	// Currie, Anal. Chem. 40 (1968) 586: the critical level is set for 5 % false alarms
	const rates = errorRatesOf(0.02, 0.4);
	const blanks = 200;
	let alarms = 0;
	for (let run = 1; run <= blanks; run++) {
		const world = drawWorld(run, DEFAULT_MATERIAL, rates);
		const shared = drawSharedErrors(DEFAULT_MATERIAL, rates, 500, run);
		const { tables } = gradeProduct([[readSpreadOf('blank', world, String(run))]], DEFAULT_MATERIAL, shared);
		alarms += Number(tables.massFraction.freeCopper.belowDetectionLimit !== true);
	}
	// 5 % of 200 is 10 with a standard deviation of 3.1: three of them
	expect(alarms / blanks).toBeLessThan(0.1);
});

test("the level that a blank's net count passes 5 times in 100 is Currie's 2.33 sqrt(B)", () => {
	const { inputs, expected } = reference['i.currie'];
	const random = seededRandom(1, 'paired counts');
	for (const [i, counts] of inputs.B.entries()) {
		if (counts < 100) continue; // the formula takes counts for normal
		// a normal count of that mean and variance; net of two such counts
		const net = Float64Array.from(
			{ length: 40_000 },
			() => Math.sqrt(counts) * (random.normal() - random.normal()),
		).sort();
		// a 95 % quantile of 40 000 draws is known to 0.7 %; the rounded factor 2.33 for 2.326 to 0.2 %
		expect(Math.abs(quantileOf(net, 0.95) / expected.L_C[i]! - 1)).toBeLessThan(0.02);
	}
});

test('no aluminium among 300 pieces still allows about one in a hundred', () => {
	const { expected, inputs } = sampling['b.rule_of_three'];
	const limit = expected[inputs.n.indexOf(300)]!;
	const shared = drawSharedErrors(madeMaterial(), madeRates(), 4000, 3);
	const reading = madeReading({ insulation: { count: 300, areaMm2: 2, widthMm: 1 } });
	const { tables } = gradeProduct([[reading]], madeMaterial(), shared);
	// half a piece (Jeffreys) in the place of none: its 97.5 % limit is 2.5 pieces, the rule's 95 % limit 3
	expect(tables.areaFraction.aluminium.high).toBeGreaterThan(0.7 * limit);
	expect(tables.areaFraction.aluminium.high).toBeLessThan(1.3 * limit);
});

test('of one piece the lower limit is that of a count of one, whatever nobody saw', () => {
	const shared = drawSharedErrors(madeMaterial(), madeRates(), 4000, 3);
	const insulation = { count: 300, areaMm2: 2, widthMm: 1 };
	const reading = madeReading({ insulation, brightCopper: { count: 1, areaMm2: 2, widthMm: 1 } });
	const { tables } = gradeProduct([[reading]], madeMaterial(), shared);
	const share = 8960 / (8960 + 300 * 1400);
	const { freeCopper } = tables.massFraction;
	expect(freeCopper.belowDetectionLimit).toBeUndefined();
	// a mean of -ln(0.975) is passed by none 2.5 times in 100; its third decimal is a draw in two hundred
	expect(freeCopper.low / share / -Math.log(0.975)).toBeGreaterThan(0.8);
	expect(freeCopper.low / share / -Math.log(0.975)).toBeLessThan(1.2);
});

test('of spreads of few pieces the lower limit of what is only just told seldom lies above what is there', () => {
	const rates = errorRatesOf(0.002, 0.4);
	let [told, wrong] = [0, 0];
	for (let run = 1; run <= 400; run++) {
		const world = drawWorld(run, DEFAULT_MATERIAL, rates);
		const shared = drawSharedErrors(DEFAULT_MATERIAL, rates, 300, run);
		const reading = readSpreadOf('very low', world, String(run), undefined, 0.01);
		const { freeCopper } = gradeProduct([[reading]], DEFAULT_MATERIAL, shared).tables.massFraction;
		if (freeCopper.belowDetectionLimit === true) continue;
		told++;
		wrong += Number(freeCopper.low > truthOf('very low', world).freeCopper);
	}
	// 5 in 100 are told without being there, and about 5 in 20 that are told hold a piece by chance: two in three were wrong
	expect(told).toBeGreaterThan(40);
	expect(wrong / told).toBeLessThan(0.4);
});

test('below detection a grade ends at the limit of its own draws, which knows how many calls are false', () => {
	const rates = madeRates(0.02, 0.4);
	const shared = drawSharedErrors(madeMaterial(), rates, 4000, 3);
	// about as many calls as four thousandths of the insulation and of the bare surface give
	const reading = madeReading({
		insulation: { count: 3000, areaMm2: 2, widthMm: 1 },
		brightCopper: { count: 34, areaMm2: 2, widthMm: 1 },
		tinnedCopper: { count: 34, areaMm2: 2, widthMm: 1 },
	});
	const { tables, draws } = gradeProduct([[reading]], madeMaterial(), shared);
	const { freeCopper } = tables.massFraction;
	expect(freeCopper).toMatchObject({ low: 0, belowDetectionLimit: true });
	// more than counting pieces leaves open, less than all calls weigh
	expect(freeCopper.high).toBeGreaterThan(3 / 3068);
	expect(freeCopper.high).toBeLessThan((68 * 8960) / (68 * 8960 + 3000 * 1400));
	expect(freeCopper.high).toBe(quantileOf(draws.freeCopper.slice().sort(), 0.975));
});

test('where so few pieces are called copper that the rates of false calls cannot be right, all of them may be copper', () => {
	const shared = drawSharedErrors(madeMaterial(), madeRates(0.05, 0.1), 4000, 3);
	const reading = madeReading({
		insulation: { count: 3000, areaMm2: 2, widthMm: 1 },
		brightCopper: { count: 10, areaMm2: 2, widthMm: 1 },
	});
	const { tables } = gradeProduct([[reading]], madeMaterial(), shared);
	// one width and shape for both: shares of area times density
	const called = (10 * 8960) / (10 * 8960 + 3000 * 1400);
	expect(tables.massFraction.freeCopper.belowDetectionLimit).toBe(true);
	expect(tables.massFraction.freeCopper.high).toBeGreaterThan(called);
	expect(tables.massFraction.freeCopper.high).toBeLessThan(1.2 * called);
});

test('what is found beside others below detection reaches up to where these may be nothing', () => {
	const rates = errorRatesOf(0.02, 0.4);
	const shared = drawSharedErrors(DEFAULT_MATERIAL, rates, 4000, 1);
	const reading = readSpreadOf('trace', drawWorld(1, DEFAULT_MATERIAL, rates), '1');
	const { tables, draws } = gradeProduct([[reading]], DEFAULT_MATERIAL, shared);
	const { copper, insulation } = tables.massFraction;
	expect(copper.belowDetectionLimit).toBe(true);
	expect(insulation.belowDetectionLimit).toBeUndefined();
	const limitOf = (probability: number, shares: Float64Array) => quantileOf(shares.slice().sort(), probability);
	expect(insulation.low).toBe(limitOf(0.025, draws.insulation));
	// its draws hold something of the copper in every world, which the copper's own range does not
	expect(insulation.high).toBeGreaterThan(limitOf(0.975, draws.insulation));
	expect(insulation.high).toBeLessThanOrEqual(1);
	expect(1 - insulation.high).toBeLessThan(0.9 * (1 - limitOf(0.975, draws.insulation)));
});

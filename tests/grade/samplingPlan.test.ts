import { expect, test } from 'vitest';
import { samplingPlan, spreadSamplingOf, spreadsNeeded } from '@/lib/grade/samplingPlan';
import { madeMaterial, madeReading } from './madeReading';

/** The normal distribution's 0.975 quantile, by R's qnorm(0.975). */
const COVERAGE_FACTOR = 1.959963984540054;

const withCopper = (count: number) =>
	madeReading({
		brightCopper: { count, areaMm2: 0.5, widthMm: 0.4 },
		insulation: { count: 900, areaMm2: 2, widthMm: 1.1 },
	});

test("a spread's fundamental error is the two-part form g (1-g) [(1-g) m1 + g m2] / M", () => {
	const { fundamentalU, gradePerSpread, spreadMassG } = spreadSamplingOf([[withCopper(400)]], madeMaterial());
	const pieceG = (areaMm2: number, widthMm: number, density: number) =>
		areaMm2 * widthMm * (Math.PI / 4) * density * 1e-6;
	const [m1, m2] = [pieceG(0.5, 0.4, 8960), pieceG(2, 1.1, 1400)];
	const massG = 400 * m1 + 900 * m2;
	const g = (400 * m1) / massG;
	expect(spreadMassG).toBeCloseTo(massG, 9);
	expect(gradePerSpread[0]).toBeCloseTo(g, 12);
	expect(fundamentalU ** 2).toBeCloseTo((g * (1 - g) * ((1 - g) * m1 + g * m2)) / massG, 12);
});

test('in a mix of two, the other component scatters as copper does, and one that is not there as counting leaves open', () => {
	const of = (component: 'copper' | 'insulation' | 'aluminium') =>
		spreadSamplingOf([[withCopper(400)]], madeMaterial(), component);
	expect(of('insulation').fundamentalU).toBeCloseTo(of('copper').fundamentalU, 12);
	expect(of('insulation').gradePerSpread[0]).toBeCloseTo(1 - of('copper').gradePerSpread[0]!, 12);
	// none of it among 1300 pieces still leaves three
	expect(COVERAGE_FACTOR * of('aluminium').fundamentalU).toBeCloseTo(3 / 1300, 12);
});

test('pieces that are all alike don\u2019t tell the grade without end', () => {
	const alike = madeReading({ brightCopper: { count: 20, areaMm2: 0.5, widthMm: 0.4 } });
	expect(COVERAGE_FACTOR * spreadSamplingOf([[alike]], madeMaterial()).fundamentalU).toBeCloseTo(3 / 20, 12);
});

test('scatter between spreads is given from two spreads on', () => {
	expect(spreadSamplingOf([[withCopper(400)]], madeMaterial()).seenU).toBeUndefined();
	const { seenU, fundamentalU } = spreadSamplingOf([[withCopper(100)], [withCopper(700)]], madeMaterial());
	expect(seenU).toBeGreaterThan(3 * fundamentalU);
});

test('four times the spreads halve the sampling part and leave the rest', () => {
	const plan = samplingPlan(10, 0.02, 0.01);
	const [one, four] = [plan.find(({ spreads }) => spreads === 1)!, plan.find(({ spreads }) => spreads === 4)!];
	expect(four.samplingHalfWidth).toBeCloseTo(one.samplingHalfWidth / 2, 12);
	expect(four.massG).toBe(40);
	expect(four.halfWidth).toBeCloseTo(COVERAGE_FACTOR * Math.hypot(0.01, 0.01), 12);
});

test('the spreads needed reach the wanted width, one fewer does not', () => {
	const needed = spreadsNeeded(0.025, 0.03, 0.005)!;
	const widthWith = (spreads: number) => COVERAGE_FACTOR * Math.hypot(0.03 / Math.sqrt(spreads), 0.005);
	expect(widthWith(needed)).toBeLessThanOrEqual(0.025);
	expect(widthWith(needed - 1)).toBeGreaterThan(0.025);
});

test('no number of spreads narrows what other causes leave', () => {
	expect(spreadsNeeded(0.01, 0.03, 0.02)).toBeUndefined();
});

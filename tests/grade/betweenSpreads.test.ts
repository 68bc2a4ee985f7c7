import fc from 'fast-check';
import { expect, test } from 'vitest';
import { excessBetween, type SpreadShares } from '@/lib/grade/betweenSpreads';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { seededRandom } from '@/lib/quantity/seededRandom';
import references from '@/tests/reference/statistics.json';
import { type BinName, drawWorld, errorRatesOf, readSpreadOf, TRUE_BINS, truthOf, type World } from './madeUpSpreads';

/** A spread of insulation and copper that says so much of its own share. */
function sharesOf(copper: number, variance: number, massG = 1): SpreadShares {
	const parts = { brightCopper: copper, insulation: 1 - copper } as const;
	return {
		massG,
		share: perClass((name) => (name in parts ? parts[name as keyof typeof parts] : 0)),
		variance: perClass((name) => (name in parts ? variance : 0)),
	};
}

/** Variance of the product's copper share that factors of such relative variance on its masses give. */
function ofShare(copper: number, excess: ReturnType<typeof excessBetween>): number {
	return copper ** 2 * (1 - copper) ** 2 * (excess.brightCopper + excess.insulation);
}

test('scatter beyond what is expected is what a published analysis of variance finds', () => {
	const { inputs, expected, tolerance } = references.varianceBetweenLeaves;
	const groups = inputs.percent.map((leaf) => {
		const mean = leaf.reduce((sum, one) => sum + one, 0) / leaf.length;
		const within = leaf.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (leaf.length - 1);
		return { mean, ofMean: within / leaf.length };
	});
	const excess = excessBetween(groups.map(({ mean, ofMean }) => sharesOf(mean / 100, ofMean / 1e4)));
	const mean = groups.reduce((sum, group) => sum + group.mean, 0) / groups.length / 100;
	expect(Math.abs(ofShare(mean, excess) * groups.length * 1e4 - expected)).toBeLessThan(tolerance);
});

test('spreads that scatter no more than expected of each add nothing, and none adds more than its own share allows', () => {
	const share = fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true });
	fc.assert(
		fc.property(
			fc.array(fc.tuple(share, fc.double({ min: 0.1, max: 10, noNaN: true })), { minLength: 2, maxLength: 6 }),
			(spreads) => {
				const excess = excessBetween(spreads.map(([copper, massG]) => sharesOf(copper, 0, massG)));
				const massG = spreads.reduce((sum, [, grams]) => sum + grams, 0);
				const pooled = spreads.reduce((sum, [copper, grams]) => sum + copper * grams, 0) / massG;
				const most = Math.max(...spreads.map(([copper]) => copper));
				const least = Math.min(...spreads.map(([copper]) => copper));
				// half the range is the largest standard deviation there is; divisor n - 1
				const largest = ((most - least) / 2) ** 2 * (spreads.length / (spreads.length - 1));
				expect(ofShare(pooled, excess)).toBeLessThanOrEqual(largest * (1 + 1e-9));
				expect(excessBetween(spreads.map(([copper, grams]) => sharesOf(copper, 2 * largest, grams)))).toEqual(
					perClass(() => 0),
				);
			},
		),
	);
});

test('two spreads that show next to nothing and one that shows a little differ by little, however far apart their logarithms are', () => {
	const excess = excessBetween([0.0005, 0.0005, 0.007].map((copper) => sharesOf(copper, 0)));
	const mean = (0.0005 + 0.0005 + 0.007) / 3;
	// the standard error of the mean of the three numbers
	expect(Math.sqrt(ofShare(mean, excess))).toBeCloseTo(0.00217, 4);
});

const RUNS = 250;
const DRAWS = 250;
const SPREADS = 3;

/** Of made-up runs of three spreads each: how often the free copper's range holds what the bin holds, and the products' draws beside the photos' own. */
function rangesOf(bin: BinName, spreadOf: (world: World, run: number, s: number) => ReturnType<typeof readSpreadOf>) {
	const errorRates = errorRatesOf(0.02, 0.4);
	let [holds, wider] = [0, 0];
	for (let run = 1; run <= RUNS; run++) {
		const world = drawWorld(run, DEFAULT_MATERIAL, errorRates);
		const shared = drawSharedErrors(DEFAULT_MATERIAL, errorRates, DRAWS, run);
		const readings = Array.from({ length: SPREADS }, (_, s) => spreadOf(world, run, s));
		const highOf = (spreads: Parameters<typeof gradeProduct>[0]) =>
			gradeProduct(spreads, DEFAULT_MATERIAL, shared).tables.massFraction.freeCopper;
		const together = highOf(readings.map((reading) => [reading]));
		const truth = truthOf(bin, world).freeCopper;
		holds += Number(together.low <= truth && truth <= together.high);
		wider += Number(together.high > Math.max(...readings.map((reading) => highOf([[reading]]).high)));
	}
	return { holds: holds / RUNS, wider: wider / RUNS };
}

test('ranges hold at very low grades where each photo has false calls of its own, and spreads together say no less than the worst of them', () => {
	const errorRates = errorRatesOf(0.02, 0.4);
	const { holds, wider } = rangesOf('very low', (world, run, s) =>
		readSpreadOf(
			'very low',
			{ ...world, rates: drawWorld(-100 * run - s, DEFAULT_MATERIAL, errorRates).rates },
			`${run} ${s}`,
		),
	);
	expect(holds).toBeGreaterThanOrEqual(0.95);
	expect(wider).toBeLessThan(0.05);
});

test.each(['high', 'middle', 'very low'] as const)(
	'ranges hold in 93 to 98 of 100 made-up runs where the bin is not the same all over, %s grade',
	(bin) => {
		const { holds } = rangesOf(bin, (world, run, s) => {
			const random = seededRandom(run, 'not the same all over', bin, String(s));
			// each class a third more or less from scoop to scoop
			const here = TRUE_BINS[bin].map((share) => (share * random.gamma(9)) / 9);
			const all = here.reduce((sum, share) => sum + share, 0);
			return readSpreadOf(
				bin,
				world,
				`${run} ${s}`,
				here.map((share) => share / all),
			);
		});
		expect(holds).toBeGreaterThanOrEqual(0.93);
		expect(holds).toBeLessThanOrEqual(0.98);
	},
);

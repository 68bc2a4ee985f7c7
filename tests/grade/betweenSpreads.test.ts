import { expect, test } from 'vitest';
import { type SeenShare, scatterBetween, scatterMasses, TRIED } from '@/lib/grade/betweenSpreads';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { seededRandom } from '@/lib/quantity/seededRandom';
import references from '@/tests/reference/statistics.json';
import { type BinName, drawWorld, errorRatesOf, readSpreadOf, TRUE_BINS, truthOf, type World } from './madeUpSpreads';

/** Shares of spreads of one bin as the test of scatter takes them, each with such a variance of its own. */
function seen(shares: readonly number[], variance: number): readonly SeenShare[] {
	return shares.map((share) => ({ amongG: 1, share, variance, counting: variance }));
}

/** The standard deviation of log odds that so many of 100 believed ones lie below. */
function believed(spreads: readonly SeenShare[], probability: number): number {
	return TRIED[scatterBetween(spreads)!.findIndex((sum) => sum >= probability)]!;
}

test('scatter between groups of a published analysis of variance is believed in, and nothing is told of it by one alone', () => {
	const { inputs, expected } = references.varianceBetweenLeaves;
	const groups = inputs.percent.map((leaf) => {
		const mean = leaf.reduce((sum, one) => sum + one, 0) / leaf.length;
		const within = leaf.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (leaf.length - 1);
		return { mean, ofMean: within / leaf.length };
	});
	const shares = groups.map(({ mean }) => mean / 100);
	const spreads = seen(shares, groups[0]!.ofMean / 1e4);
	const pooled = shares.reduce((sum, share) => sum + share, 0) / shares.length;
	const published = Math.sqrt(expected) / 100 / (pooled * (1 - pooled));
	expect(believed(spreads, 0.025)).toBeLessThan(published);
	expect(believed(spreads, 0.5)).toBeGreaterThan(published * 0.8);
	expect(believed(spreads, 0.5)).toBeLessThan(published * 1.5);
	expect(believed(spreads, 0.975)).toBeGreaterThan(published * 1.5);
	expect(scatterBetween(spreads.slice(0, 1))).toBeUndefined();
});

test('many spreads are believed to scatter by what they do beyond what each has of its own', () => {
	const normal = seededRandom(1, 'many spreads').normal;
	const own = 0.02;
	for (const scatter of [0, 0.3, 0.8]) {
		const shares = Array.from({ length: 2000 }, () => 0.3 + Math.hypot(own, 0.21 * scatter) * normal());
		const found = believed(seen(shares, own ** 2), 0.5);
		expect(Math.abs(found - scatter)).toBeLessThan(0.1 * scatter + 0.04);
	}
});

test('two spreads that are alike by chance leave open that their bin is not, and say less than ten that are', () => {
	const alike = (n: number) =>
		seen(
			Array.from({ length: n }, (_, k) => 0.3 + (k % 2) * 1e-3),
			0.02 ** 2,
		);
	expect(believed(alike(2), 0.975)).toBeGreaterThan(0.25);
	expect(believed(alike(10), 0.975)).toBeLessThan(0.12);
});

test('what is shared out among the masses gives the log odds back', () => {
	const draws = 20_000;
	const shared = drawSharedErrors(DEFAULT_MATERIAL, errorRatesOf(0.02, 0.4), draws, 1);
	const copper = { brightCopper: 0.24, tinnedCopper: 0.06 } as const;
	const massG = perClass((name) =>
		new Float64Array(draws).fill({ ...copper, insulation: 0.7 }[name as 'insulation'] ?? 0),
	);
	const parts = [...[0.3, 0, 0.7, 0], ...[0.8, 0.2]];
	const spread = (by: number) =>
		parts.map((share) => ({ amongG: 1, share: share > 0 ? share + by : 0, variance: 1e-8, counting: 1e-8 }));
	scatterMasses(
		massG,
		[-0.063, 0, 0.063].map((by) => spread(by)),
		shared,
		['a', 'b', 'c'].map((name) => ({ name, isRepeated: false })),
	);
	const odds = massG.insulation
		.map((grams, i) => Math.log((massG.brightCopper[i]! + massG.tinnedCopper[i]!) / grams))
		.sort();
	const middleHalf = odds[Math.floor(draws * 0.75)]! - odds[Math.floor(draws * 0.25)]!;
	// the standard error of the mean is 0.3 over the root of three. Between Student's t with two degrees of freedom (believing in 1 / sd) and what
	// a flat prior gives, one degree at twice the variance: the quartiles lie 0.8165 and 1.414 such errors from the middle
	expect(middleHalf / (0.6 / Math.sqrt(3))).toBeGreaterThan(0.8165);
	expect(middleHalf / (0.6 / Math.sqrt(3))).toBeLessThan(Math.SQRT2);
});

const RUNS = 250;
const DRAWS = 250;
const SPREADS = 3;

/** Of made-up runs of three spreads each, or so many: how often the free copper's range holds what the bin holds, and the products' draws beside the photos' own. */
function rangesOf(
	bin: BinName,
	spreadOf: (world: World, run: number, s: number) => ReturnType<typeof readSpreadOf>,
	count = SPREADS,
) {
	const errorRates = errorRatesOf(0.02, 0.4);
	let [holds, wider] = [0, 0];
	for (let run = 1; run <= RUNS; run++) {
		const world = drawWorld(run, DEFAULT_MATERIAL, errorRates);
		const shared = drawSharedErrors(DEFAULT_MATERIAL, errorRates, DRAWS, run);
		const readings = Array.from({ length: count }, (_, s) => spreadOf(world, run, s));
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

test('two spreads of a badly mixed lean bin, whose scoops hold half or twice as much copper, hold what it holds in 90 to 97 of 100 runs', () => {
	const { holds } = rangesOf(
		'lean',
		(world, run, s) => {
			const { normal } = seededRandom(run, 'badly mixed', String(s));
			const factor = Math.exp(0.8 * normal() - 0.32);
			const [bright, tinned, ...rest] = TRUE_BINS.lean;
			const copper = (bright + tinned) * factor;
			const left = (1 - copper) / rest.reduce((sum, share) => sum + share, 0);
			return readSpreadOf('lean', world, `${run} ${s}`, [
				bright * factor,
				tinned * factor,
				...rest.map((share) => share * left),
			]);
		},
		2,
	);
	expect(holds).toBeGreaterThanOrEqual(0.9);
	expect(holds).toBeLessThanOrEqual(0.97);
});

import { expect, test } from 'vitest';
import { applyChecks, type ProductToCheck } from '@/lib/grade/applyChecks';
import { checkSchema } from '@/lib/grade/checkEntry';
import { UNSEEN_PIECE } from '@/lib/grade/classTotals';
import { combineEstimates } from '@/lib/grade/combineEstimates';
import { differenceEstimate } from '@/lib/grade/differenceEstimator';
import type { GradeDraws } from '@/lib/grade/gradeDraws';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { contradictionOf, learnMassPerArea, type SortedSpread } from '@/lib/grade/learnMassPerArea';
import { spreadSamplingOf } from '@/lib/grade/samplingPlan';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { strippedCopperOf } from '@/lib/grade/strippedCopper';
import { estimateOf } from '@/lib/quantity/estimateOf';
import { meanOf } from '@/lib/quantity/moments';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { idleSentence, impossibleSentence } from '@/lib/report/checkSentences';
import { madeMaterial, madeRates, madeReading } from './madeReading';

const uncertain = madeMaterial({ density: 0.05, factor: 0.15 });
const shared = drawSharedErrors(uncertain, madeRates(0.01, 0.3), 2000, 4);
const reading = madeReading({
	brightCopper: { count: 800, areaMm2: 0.6, widthMm: 0.4 },
	insulation: { count: 900, areaMm2: 2, widthMm: 1.2 },
});
const [COPPER_G, INSULATION_G] = [800 * 0.6 * 0.4 * (Math.PI / 4) * 8960e-6, 900 * 2 * 1.2 * (Math.PI / 4) * 1400e-6];

const applied = (
	checks: ProductToCheck['checks'],
	spreads: ProductToCheck['spreads'],
	photo: ProductToCheck['photo'],
	rest: Partial<ProductToCheck> = {},
) => applyChecks({ checks, spreads, photo, material: uncertain, seed: 4, ...rest });

const pilesOf = (copper: number) => ({
	brightCopper: `${(copper * COPPER_G).toFixed(2)} g`,
	insulation: `${INSULATION_G.toFixed(2)} g`,
});

/** The spread picked apart: what its piles weigh if pieces are so many times as heavy as the starting values say. */
function sortedSpread(label: string, copper: number, insulation: number): SortedSpread {
	const check = checkSchema.parse({
		kind: 'handSort',
		spread: 1,
		piles: {
			brightCopper: `${(copper * COPPER_G).toFixed(2)} g`,
			insulation: `${(insulation * INSULATION_G).toFixed(2)} g`,
		},
	});
	if (check.kind !== 'handSort') throw new Error('not a hand sort');
	return { label, reading, check };
}

test('one hand sort brings the mass per area of its classes to what the piles weigh, and narrows the grade', () => {
	const { shared: taught, learned } = learnMassPerArea(shared, uncertain, [sortedSpread('spread 1', 1.2, 0.9)]);
	const factorOf = (name: string) => learned.find((one) => one.name === name)!;
	// 16 % of prior against 3 % of evidence: nearly all of the way (prior weight 0.03 on 0.2)
	expect(Math.abs(factorOf('brightCopper').factor.value - 1.2)).toBeLessThan(0.05);
	expect(Math.abs(factorOf('insulation').factor.value - 0.9)).toBeLessThan(0.05);
	expect(factorOf('insulation').relativeU.after).toBeLessThan(0.5 * factorOf('insulation').relativeU.before);
	const before = gradeProduct([[reading]], uncertain, shared).tables.massFraction.freeCopper;
	const after = gradeProduct([[reading]], uncertain, taught).tables.massFraction.freeCopper;
	const weighed = (1.2 * COPPER_G) / (1.2 * COPPER_G + 0.9 * INSULATION_G);
	expect(after.high - after.low).toBeLessThan(0.7 * (before.high - before.low));
	expect(Math.abs(after.value - weighed)).toBeLessThan(0.02);
});

test('a second hand sort that agrees narrows the mass per area further', () => {
	const once = learnMassPerArea(shared, uncertain, [sortedSpread('spread 1', 1.1, 1)]);
	const twice = learnMassPerArea(shared, uncertain, [
		sortedSpread('spread 1', 1.1, 1),
		sortedSpread('spread 2', 1.1, 1),
	]);
	const uOf = ({ learned }: typeof once) => learned.find(({ name }) => name === 'brightCopper')!.relativeU.after;
	expect(uOf(twice)).toBeLessThan(uOf(once));
});

test('without hand sorts nothing is learnt and every draw stays', () => {
	const { shared: same, learned } = learnMassPerArea(shared, uncertain, []);
	expect(learned).toEqual([]);
	expect(same).toBe(shared);
});

test('a pile that contradicts the other sorts is told with its size in standard deviations', () => {
	const { piles } = learnMassPerArea(shared, uncertain, [
		sortedSpread('spread 1', 1, 1),
		sortedSpread('spread 2', 1, 1),
		sortedSpread('spread 3', 1.5, 1),
	]);
	const found = contradictionOf(piles)!;
	expect(`${found.label}: ${found.name}`).toBe('spread 3: brightCopper');
	expect(found.standardDeviations).toBeGreaterThan(3);
	expect(
		contradictionOf(piles.filter(({ label, name }) => label === 'spread 1' && name === 'insulation')),
	).toBeUndefined();
});

test('a pile whose class the picture cannot tell from false calls teaches nothing, and says so', () => {
	// 2 % of the insulation's 1800 mm2 may be called copper: 36 mm2 in the middle, a third more one time in twenty
	const rates = drawSharedErrors(uncertain, madeRates(0.02, 0.3), 2000, 4);
	const insulationG = 900 * 2 * 1.2 * (Math.PI / 4) * 1400e-6;
	const sortOf = (copper: number): SortedSpread => {
		const check = checkSchema.parse({
			kind: 'handSort',
			spread: 1,
			piles: { brightCopper: '3.00 g', insulation: `${insulationG.toFixed(2)} g`, aluminium: '0.02 g', other: '0 g' },
		});
		if (check.kind !== 'handSort') throw new Error('not a hand sort');
		const pieces = { insulation: { count: 900, areaMm2: 2, widthMm: 1.2 } };
		const own = madeReading({ ...pieces, brightCopper: { count: copper, areaMm2: 0.6, widthMm: 0.4 } });
		return { label: 'spread 1', reading: own, check };
	};
	// 24 mm2 of copper seen, which may all be insulation, against 3 g weighed; no aluminium seen at all
	const hardly = learnMassPerArea(rates, uncertain, [sortOf(40)]);
	expect(hardly.idle.map(({ name, why }) => `${name}: ${why}`)).toEqual([
		'brightCopper: falseCalls',
		'aluminium: fewPieces',
	]);
	expect(hardly.learned.map(({ name }) => name)).toEqual(['insulation']);
	expect(hardly.piles.map(({ name }) => name)).toEqual(['insulation']);
	expect(idleSentence(hardly.idle[0]!)).toBe(
		'The pile “Copper, bright or dull” of spread 1 (3.0 g) says nothing about mass per area: its picture shows no more of it than mistaken calls of other pieces could make.',
	);
	// 480 mm2 of copper can't be false calls
	const plainly = learnMassPerArea(rates, uncertain, [sortOf(800)]);
	expect(plainly.idle.map(({ name }) => name)).toEqual(['aluminium']);
	expect(plainly.learned.map(({ name }) => name)).toEqual(['brightCopper', 'insulation']);
});

test('the difference estimator is right on average however wrong the pictures are', () => {
	const random = seededRandom(3, 'difference estimator');
	let [sum, held] = [0, 0];
	const trials = 2000;
	for (let trial = 0; trial < trials; trial++) {
		const truth = Array.from({ length: 8 }, () => 0.4 + 0.03 * random.normal());
		const pictures = truth.map((grade) => 0.5 * grade + 0.1 + 0.01 * random.normal());
		const checked = [0, 1, 2, 3].map((i) => ({ picture: pictures[i]!, weighed: truth[i]! }));
		const { value, low, high } = differenceEstimate(pictures, checked);
		sum += value;
		held += Number(low <= 0.4 && 0.4 <= high);
	}
	// mean of 2000 with a standard deviation of about 0.009: two standard deviations
	expect(Math.abs(sum / trials - 0.4)).toBeLessThan(0.0006);
	expect(held / trials).toBeGreaterThan(0.93);
});

test.each([
	{ spreads: 5, noise: 0.003 },
	{ spreads: 5, noise: 0.03 },
	{ spreads: 8, noise: 0.003 },
])(
	'$spreads spreads of which five are weighed hold the truth 95 times in 100 with pictures off by $noise',
	({ spreads, noise }) => {
		const random = seededRandom(5, 'pictures that shrink');
		let held = 0;
		const trials = 3000;
		for (let trial = 0; trial < trials; trial++) {
			const truth = Array.from({ length: spreads }, () => 0.4 + 0.03 * random.normal());
			const pictures = truth.map((grade) => 0.5 * grade + 0.1 + noise * random.normal());
			const checked = [0, 1, 2, 3, 4].map((i) => ({ picture: pictures[i]!, weighed: truth[i]! }));
			const { low, high } = differenceEstimate(pictures, checked);
			held += Number(low <= 0.4 && 0.4 <= high);
		}
		// 95 in 100, and three standard deviations of 3000 trials
		expect(Math.abs(held / trials - 0.95)).toBeLessThan(0.012);
	},
);

test('three sorted spreads without copper, or of nothing else, do not make it certain', () => {
	const { draws } = gradeProduct([[reading]], uncertain, shared);
	const spreads = [[reading], [reading], [reading]];
	const pieces = 1700 * 3;
	for (const [copper, insulation] of [
		['0 g', '3.10 g'],
		['3.10 g', '0 g'],
	] as const) {
		const checks = [1, 2, 3].map((spread) =>
			checkSchema.parse({
				kind: 'handSort',
				spread,
				piles: { brightCopper: copper, insulation, aluminium: '0 g', other: '0 g' },
			}),
		);
		const { estimates, combined } = applied(checks, spreads, draws)!;
		for (const { value, low, high } of [estimates[0]!, combined]) {
			expect(low).toBeLessThanOrEqual(value);
			expect(high).toBeGreaterThanOrEqual(value);
			// none among so many pieces still leaves three
			expect(high - low).toBeGreaterThan(0.9 * (3 / pieces));
		}
	}
});

test('copper that pictures saw and sorts did not find brings no locked copper along', () => {
	const { lockedCopperPerInsulation: _, ...untold } = uncertain;
	const errors = drawSharedErrors(untold, madeRates(0.01, 0.3), 2000, 4);
	const { draws } = gradeProduct([[reading]], untold, errors);
	const checks = [1, 2, 3].map((spread) =>
		checkSchema.parse({ kind: 'handSort', spread, piles: { brightCopper: '0 g', insulation: '3.10 g' } }),
	);
	const { estimates } = applied(checks, [[reading], [reading], [reading]], draws, { material: untold })!;
	// 0.3 % of the insulation, times a factor of mean one
	expect(estimates[0]!.value).toBeGreaterThan(0.001);
	expect(estimates[0]!.value).toBeLessThan(0.004);
});

test('pictures that lie far off the weights leave a range that is a number', () => {
	const checked = [
		{ picture: 0.99, weighed: 0 },
		{ picture: 0.999, weighed: 0.48 },
		{ picture: 0, weighed: 0 },
	];
	const { value, low, high } = differenceEstimate([0.99, 0.999, 0, 0], checked);
	expect([low, value]).toEqual([0, 0]);
	expect(high).toBeGreaterThan(0.5);
	expect(high).toBeLessThanOrEqual(1);
});

test('fewer than three weighed spreads are refused by the difference estimator', () => {
	expect(() => differenceEstimate([0.1, 0.2], [{ picture: 0.1, weighed: 0.1 }])).toThrow(RangeError);
});

test('estimates that agree are weighted by their variances; those that do not are widened first', () => {
	const agree = combineEstimates([
		{ value: 0.9, u: 0.01 },
		{ value: 0.91, u: 0.02 },
	]);
	expect(agree.value).toBeCloseTo((0.9 / 1 + 0.91 / 4) / (1 + 1 / 4), 12); // weights 1 : 1/4
	expect(agree.u).toBeCloseTo((1e4 + 2500) ** -0.5, 12);
	expect(agree.excessU).toBe(0);
	const apart = combineEstimates([
		{ value: 0.9, u: 0.01 },
		{ value: 0.8, u: 0.01 },
	]);
	// Q = 50 for 1: tau^2 = 49 / (2e4 - 1e4) = 0.0049 (DerSimonian and Laird)
	expect(apart.excessU ** 2).toBeCloseTo(0.0049, 12);
	expect(apart.probability).toBeLessThan(1e-6);
});

test('an assay beside the photos pulls the grade by its weight and says how far they are apart', () => {
	const photo = gradeProduct([[reading]], uncertain, shared);
	const checks = [checkSchema.parse({ kind: 'assay', share: '40 %', u: '1 %' })];
	const checked = applied(checks, [[reading]], photo.draws)!;
	const [byPhotos, assay] = checked.estimates;
	expect(assay).toMatchObject({ origin: 'assay', value: 0.4 });
	expect(checked.combined.u).toBeLessThan(Math.min(byPhotos!.u, assay!.u));
	expect(assay!.deviations).toBeCloseTo(Math.abs(byPhotos!.value - 0.4) / Math.hypot(byPhotos!.u, 0.01), 9);
	for (const i of [0, 500, 1999]) {
		const { copper, aluminium, insulation, other } = checked.draws!;
		expect(copper[i]! + aluminium[i]! + insulation[i]! + other[i]!).toBeCloseTo(1, 9);
	}
});

const displaced = (displacedMl: number) =>
	checkSchema.parse({ kind: 'displacement', dry: '100.0 g', displacedMl, stepMl: 0.5 });

test('a density that is off is off in every displacement, and in the photos as well', () => {
	const photo = gradeProduct([[reading]], uncertain, shared).draws;
	const share = meanOf(photo.copper);
	const agreeing = displaced(100 * (share / 8.96 + (1 - share) / 1.4));
	const uOf = (times: number, beside?: typeof photo) => {
		const checks = Array.from({ length: times }, () => agreeing);
		return applied(checks, [[reading]], beside, { densities: shared.densityKgPerM3 })!.combined.u;
	};
	expect(uOf(2)).toBeCloseTo(uOf(1), 6);
	expect(uOf(2, photo)).toBeGreaterThan(0.9 * uOf(1, photo));
});

test('a displaced sample is no surer than the pieces in it', () => {
	const exact = madeMaterial({ density: 1e-6, factor: 0.15 });
	const { fundamentalU, spreadMassG, gradePerSpread } = spreadSamplingOf([[reading]], exact);
	const share = gradePerSpread[0]!;
	const uOf = (massG: number, photo?: GradeDraws) => {
		const suspended = massG * (1 - 0.9982 * (share / 8.96 + (1 - share) / 1.4));
		const grams = (mass: number) => `${mass.toFixed(3)} g`;
		const check = checkSchema.parse({ kind: 'displacement', dry: grams(massG), suspended: grams(suspended) });
		const spreads = photo === undefined ? [] : [[reading]];
		return applied([check], spreads, photo, { material: exact })!.estimates.at(-1)!.u;
	};
	const { draws } = gradeProduct([[reading]], exact, drawSharedErrors(exact, madeRates(), 2000, 4));
	expect(uOf(2, draws)).toBeGreaterThan(fundamentalU * Math.sqrt(spreadMassG / 2));
	expect(uOf(2, draws)).toBeGreaterThan(3 * uOf(200, draws));
	// pieces that nobody saw: the two-part form g (1-g) [(1-g) m1 + g m2] / M
	const [m1, m2] = [0.6 * 3 * 8960e-6 * (Math.PI / 4), 2 * 5 * 1400e-6 * (Math.PI / 4)];
	expect(uOf(2)).toBeGreaterThan(Math.sqrt((share * (1 - share) * ((1 - share) * m1 + share * m2)) / 2));
});

test.each([
	['a laboratory close to pure copper', [checkSchema.parse({ kind: 'assay', share: '99.7 %', u: '0.3 %' })]],
	['a laboratory close to none', [checkSchema.parse({ kind: 'assay', share: '0.1 %', u: '0.1 %' })]],
	['water displaced as by pure copper', [displaced(11.1)]],
	['water displaced as by floating pieces', [displaced(1000)]],
	['water displaced as by gold', [displaced(5)]],
])('%s: every range lies within 0 and 1 and holds its value', (_, checks) => {
	for (const photo of [undefined, gradeProduct([[reading]], uncertain, shared).draws]) {
		const { estimates, combined } = applied(checks, [[reading]], photo)!;
		for (const { value, low, high } of [...estimates, combined]) {
			expect(low).toBeGreaterThanOrEqual(0);
			expect(low).toBeLessThanOrEqual(value);
			expect(value).toBeLessThanOrEqual(high);
			expect(high).toBeLessThanOrEqual(1);
		}
	}
});

test('a displacement that no mixture can give is left out beside others and told with its density', () => {
	const { draws } = gradeProduct([[reading]], uncertain, shared);
	const [gold, air] = [displaced(5), displaced(1000)].map((check) => applied([check], [[reading]], draws));
	expect(gold!.estimates.map(({ origin }) => origin)).toEqual(['photos']);
	expect(gold!.draws).toBe(draws);
	expect(gold!.impossible!.map(impossibleSentence)[0]).toContain('20.1 kg per litre, denser than copper');
	expect(air!.impossible!.map(impossibleSentence)[0]).toContain('0.1 kg per litre, lighter than the insulation');
	expect(gold!.impossible!.map(impossibleSentence)[0]).toContain('It does not count beside the other estimates.');
	expect(applied([displaced(50)], [[reading]], draws)!.impossible).toBeUndefined();
});

test('nothing is denser than copper, also where unsure aluminium leaves the share of copper room', () => {
	const aluminium = { count: 60, areaMm2: 1, widthMm: 0.8 };
	const mixed = madeReading({ brightCopper: { count: 800, areaMm2: 0.6, widthMm: 0.4 }, aluminium });
	const { draws } = gradeProduct([[mixed]], uncertain, shared);
	const found = applied([displaced(8)], [[mixed]], draws)!;
	expect(found.estimates.map(({ origin }) => origin)).toEqual(['photos']);
	expect(found.impossible!.map(impossibleSentence)[0]).toContain('kg per litre, denser than copper');
	expect(applied([displaced(12)], [[mixed]], draws)!.impossible).toBeUndefined();
});

test('an impossible displacement that stands alone is told as what the figure rests on', () => {
	const { estimates, impossible } = applied([displaced(5)], [], undefined)!;
	expect(estimates.map(({ origin }) => origin)).toEqual(['displacement']);
	expect(impossible!.map(impossibleSentence)).toEqual([
		expect.stringContaining('There is nothing else to go by, so the nearest that can be stands; do not rely on it.'),
	]);
});

test('what three weighed spreads come to is no more certain than they are', () => {
	const { draws } = gradeProduct([[reading]], uncertain, shared);
	const spreads = [[reading], [reading], [reading]];
	const checks = [1.2, 1, 0.9].map((copper, k) =>
		checkSchema.parse({ kind: 'handSort', piles: pilesOf(copper), spread: k + 1 }),
	);
	const { estimates, combined } = applied(checks, spreads, draws)!;
	expect(estimates[0]!.origin).toBe('differences');
	const widthOf = ({ low, high }: { readonly low: number; readonly high: number }) => high - low;
	expect(widthOf(combined) / widthOf(estimates[0]!)).toBeGreaterThan(0.95);
	expect(widthOf(combined) / widthOf(estimates[0]!)).toBeLessThan(1.05);
});

test('a magnet check bounds steel and leaves the copper alone', () => {
	const photo = gradeProduct([[reading]], uncertain, shared);
	const checks = [checkSchema.parse({ kind: 'magnet', sample: '50.0 g', pulled: '0.5 g' })];
	const checked = applied(checks, [[reading]], photo.draws)!;
	expect(checked.magnetic?.atMost.value).toBeCloseTo(0.01, 12);
	expect(checked.draws).toBe(photo.draws);
	// none in a small sample may be chance: three pieces, that is -ln(0.05), of some hundredth of a gram
	const mostIn = (sample: string) => {
		const none = [checkSchema.parse({ kind: 'magnet', sample, pulled: '0.00 g' })];
		return applied(none, [[reading]], photo.draws)!.magnetic!.atMost.high;
	};
	const { widthMm, areaMm2 } = UNSEEN_PIECE.other;
	const pieceG = 7860e-6 * uncertain.classes.other.shape.factor.value * widthMm * areaMm2;
	expect(mostIn('20 g') / ((-Math.log(0.05) * pieceG) / 20)).toBeGreaterThan(1);
	expect(mostIn('20 g') / ((-Math.log(0.05) * pieceG) / 20)).toBeLessThan(1.05);
	expect(mostIn('200 g')).toBeCloseTo(mostIn('20 g') / 10, 9);
});

test('no copper in many stripped pieces leaves a range that holds its value, whatever step the nought was typed in', () => {
	const none = [1, 2].map(() => checkSchema.parse({ kind: 'strip', picks: 60, before: '2.1 g', copper: '0' }));
	const share = strippedCopperOf(none)!;
	expect(share.u).toBeLessThan(0.02);
	for (const lockedCopperPerInsulation of [share, { value: 0.003, u: 0.1 }]) {
		const { locked } = drawSharedErrors({ ...uncertain, lockedCopperPerInsulation }, madeRates(0.01, 0.3), 2000, 4);
		const { value, low, high } = estimateOf(locked, meanOf(locked));
		expect(low).toBeLessThan(value);
		// far above its mean: what was not found may be there all the same
		expect(high).toBeGreaterThan(2 * value);
	}
});

test('copper that the photos cannot tell is below detection among the estimates too', () => {
	const { draws } = gradeProduct([[reading]], uncertain, shared);
	const told = { value: 0.003, low: 0, high: 0.02, belowDetectionLimit: true };
	const magnet = checkSchema.parse({ kind: 'magnet', sample: '50.0 g', pulled: '0.5 g' });
	const { estimates, combined } = applied([magnet], [[reading]], draws, { told })!;
	expect(estimates[0]).toMatchObject(told);
	expect(combined).toMatchObject(told);
});

test('an assay of nothing or of all leaves that in its range, as far as it says so', () => {
	const told = (share: string, u: string) => applied([checkSchema.parse({ kind: 'assay', share, u })], [], undefined)!;
	for (const { estimates, combined } of [told('0 %', '0.2 %'), told('0.2 %', '0.2 %')]) {
		for (const one of [estimates[0], combined]) expect(one).toMatchObject({ low: 0, belowDetectionLimit: true });
	}
	expect(told('100 %', '0.2 %').estimates[0]!.high).toBe(1);
	expect(told('1 %', '0.2 %').estimates[0]!.low).toBeGreaterThan(0);
});

test('no copper in twenty stripped pieces still leaves room for some', () => {
	const none = strippedCopperOf([checkSchema.parse({ kind: 'strip', picks: 20, before: '1.00 g', copper: '0.00 g' })])!;
	expect(none.value).toBeGreaterThan(0);
	expect(none.value).toBeLessThan(0.05);
	const some = strippedCopperOf([checkSchema.parse({ kind: 'strip', picks: 200, before: '10 g', copper: '1.00 g' })])!;
	expect(some.value).toBeCloseTo(0.1, 2);
});

test.each([
	[{ kind: 'handSort', spread: 1, piles: {} }, 'at least one pile'],
	[{ kind: 'handSort', spread: 1, piles: { insulation: 'much' } }, 'is not a number'],
	[{ kind: 'displacement', dry: '100 g' }, 'either the volume displaced or'],
	[{ kind: 'displacement', dry: '100 g', suspended: '120 g' }, 'more in water than in air'],
	[{ kind: 'magnet', sample: '10 g', pulled: '12 g' }, 'pulled out more'],
	[{ kind: 'magnet', sample: '0 g', pulled: '0 g' }, 'The sample weighs nothing'],
	[{ kind: 'displacement', dry: '0 g', displacedMl: 20 }, 'has no density'],
	[{ kind: 'strip', picks: 20, before: '0 g', copper: '0 g' }, 'pieces weigh nothing'],
	[{ kind: 'strip', picks: '60,5 pieces', before: '2 g', copper: '0 g' }, 'must be a whole number'],
	[{ kind: 'assay', share: '120 %', u: '1 %' }, 'between 0 and 100 %'],
	[{ kind: 'strip', picks: 20, before: '1 g', copper: '1 g' }, 'as much as the pieces'],
])('the check %j is refused with a sentence', (given, sentence) => {
	const result = checkSchema.safeParse(given);
	expect(result.error?.issues.map(({ message }) => message)).toEqual([expect.stringContaining(sentence)]);
});

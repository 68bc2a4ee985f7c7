import fc from 'fast-check';
import { expect, test } from 'vitest';
import { areaGainsOf, scaleCopperAsOne } from '@/lib/grade/areaGains';
import { fitErrorRates } from '@/lib/grade/errorRates';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { meanOf } from '@/lib/quantity/moments';
import { madeReading } from './madeReading';

/** A scene of copper and insulation in which the copper is seen exp(-log) times as large as it is. */
function scene(copperShare: number, log: number): number[][] {
	const pieces = 100_000;
	const copper = copperShare * pieces;
	const seen = copper * Math.exp(-log);
	const table = Array.from({ length: 6 }, () => new Array<number>(6).fill(0));
	table[0]![0] = pieces;
	table[1]![1] = Math.min(copper, seen);
	// what is not seen is called bare surface, what is seen too much was bare surface
	table[1]![0] = Math.max(0, copper - seen);
	table[0]![1] = Math.max(0, seen - copper);
	table[4]![4] = pieces - copper;
	return table;
}

test('the factor from seen to true area is the middle of all scenes; it scatters by how much of the class was seen', () => {
	const much = [-0.1, 0.1, -0.1, 0.1, 0, 0].map((log) => scene(0.6, 0.05 + log));
	const little = [-0.4, 0.4, -0.4, 0.4, 0, 0].map((log) => scene(0.06, 0.05 + log));
	const [copper] = fitErrorRates([...much, ...little], 150, 'made for a test').areaGain!;
	// half a piece is added to counts of 24 pieces and more, which moves a log by up to half a hundredth
	expect(copper!.logMean).toBeCloseTo(0.05, 2);
	expect(copper!.logSd).toBeCloseTo(0.1 * Math.sqrt(4 / 6), 2);
	expect(copper!.logSdMinor!).toBeCloseTo(0.4 * Math.sqrt(4 / 6), 1);
});

test('where too few scenes of a kind show little of a class, those on other surfaces tell its scatter with them', () => {
	const own = [0, 0, 0, 0, 0, 0].map((log) => scene(0.6, 0.05 + log));
	const elsewhere = [-0.4, 0.4, -0.4, 0.4, -0.4, 0.4].map((log) => scene(0.06, 0.3 + log));
	const alone = fitErrorRates([...own, scene(0.06, 0.05)], 150, 'made for a test').areaGain![0]!;
	const { logMean, logSd, logSdMinor } = fitErrorRates([...own, scene(0.06, 0.05)], 150, 'made for a test', elsewhere)
		.areaGain![0]!;
	expect(alone.logSdMinor!).toBeLessThan(0.01);
	expect([logMean, logSd]).toEqual([alone.logMean, alone.logSd]);
	// about the kind's own middle: six of seven scenes at 0.25 beside it, 0.4 to either side of that
	expect(logSdMinor!).toBeCloseTo(Math.sqrt((6 / 7) * (0.25 ** 2 + 0.4 ** 2)), 1);
});

test('where little of a class was seen its factor scatters more and has the same mean', () => {
	const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, 20_000, 3);
	const [much, little] = [
		shared.areaGainOf('model-mat').brightCopper,
		shared.minorAreaGainOf('model-mat').brightCopper,
	];
	const relative = (draws: Float64Array) => Math.sqrt(meanOf(draws.map((one) => (one / meanOf(draws) - 1) ** 2)));
	const { logSd, logSdMinor } = measuredErrorRates['model-mat'].areaGain![0]!;
	// a log-normal deviate scatters by sqrt(exp(s^2) - 1) of its mean; 20 000 draws repeat that to 1 %
	expect(relative(much) / Math.sqrt(Math.exp(logSd ** 2) - 1)).toBeCloseTo(1, 1);
	expect(relative(little) / Math.sqrt(Math.exp(logSdMinor! ** 2) - 1)).toBeCloseTo(1, 1);
	expect(meanOf(little) / meanOf(much)).toBeCloseTo(1, 1);
});

test('a class that is hardly there scatters as scenes of any surface with as little of it do, about no change', () => {
	const much = [0, 0, 0, 0, 0, 0].map((log) => scene(0.6, 0.3 + log));
	const hardly = [0.5, -0.5, 0.5, -0.5, 0.5, -0.5].map((log) => scene(0.015, log));
	const [copper] = fitErrorRates(much, 15, 'made for a test', hardly).areaGain!;
	// half a piece is added to counts of 60 and more
	expect(copper!.logSdTrace!).toBeCloseTo(0.5, 1);
	expect(fitErrorRates(much, 15, 'made for a test', hardly.slice(2)).areaGain![0]!.logSdTrace).toBeUndefined();
	// a trace of it is told less surely than a little, a little less than much
	const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, 2000, 3);
	const spreadAt = (copperShare: number) => {
		const gains = areaGainsOf(shared, 'model-mat', [copperShare, 0, 0, 1 - copperShare, 0]).copper!;
		return Math.sqrt(meanOf(gains.map((gain) => Math.log(gain) ** 2)));
	};
	expect(spreadAt(0.001)).toBeGreaterThan(spreadAt(0.01));
	expect(spreadAt(0.01)).toBeGreaterThan(spreadAt(0.05));
	expect(spreadAt(0.05)).toBeGreaterThan(spreadAt(0.6));
});

/** A scene whose copper is called insulation at that rate. */
function mistaken(insulationShare: number, rate: number): number[][] {
	const table = scene(1 - insulationShare, 0);
	table[1] = table[1]!.map((count) => count * (1 - rate));
	table[1]![4] = (1 - insulationShare) * 100_000 * rate;
	return table;
}

test('where no scene has little of a class, rates that go with its share are taken down to little of it', () => {
	const shares = [0.05, 0.1, 0.2, 0.3, 0.4, 0.6, 0.7, 0.8];
	const touching = fitErrorRates(
		shares.map((share) => mistaken(share, 0.1 * share)),
		150,
		'made for a test',
	);
	// a tenth of the share, at a share of a fiftieth; half a piece is added to counts of 3 and more
	expect(touching.rate[1]![4]! / 0.002).toBeGreaterThan(0.9);
	expect(touching.rate[1]![4]! / 0.002).toBeLessThan(1.2);
	const alike = fitErrorRates(
		shares.map((share) => mistaken(share, 0.1)),
		150,
		'made for a test',
	);
	expect(alike.rate[1]![4]).toBeCloseTo(0.1, 2);
});

test('a class that hardly any scene holds has no factor', () => {
	const { areaGain } = fitErrorRates(
		[0.6, 0.6, 0.6].map((share) => scene(share, 0)),
		150,
		'made for a test',
	);
	expect(areaGain!.map((gain) => gain !== null)).toEqual([true, false, false, true, false]);
	const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, 10, 3);
	expect(shared.measuredGainsOf('model-mat')).toEqual(Uint8Array.of(0, 1, 1, 1, 1, 0));
});

/** A scene of bright and tinned copper and insulation: shares of the pieces, and how much of the tinned is called bright. */
function twoCoppers(bright: number, tinned: number, calledBright: number, log: number): number[][] {
	const table = scene(bright + tinned, log);
	const seen = table[1]!.map((count) => count / (bright + tinned));
	table[1] = seen.map((count) => count * bright);
	table[2] = seen.map((count, j) => count * tinned * (j === 1 ? calledBright : 1));
	table[2]![2] = seen[1]! * tinned * (1 - calledBright);
	return table;
}

test('bright and tinned copper have one factor: what one is called too much the other is called too little', () => {
	const scenes = [0.2, 0.4, 0.6, 0.8, 0.5, 0.3].map((mixed) => twoCoppers(0.4, 0.2, mixed, 0.1));
	const { areaGain, copperGain } = fitErrorRates(scenes, 150, 'made for a test');
	// every scene sees the whole copper exp(-0.1) times as large as it is; half a piece among 400 moves a log by a thousandth
	expect(copperGain!.logMean).toBeCloseTo(0.1, 2);
	expect(copperGain!.logSd).toBeLessThan(0.001);
	expect(areaGain![1]!.logMean).toBeGreaterThan(0.5);
});

const share = fc.double({ min: 0.01, max: 5, noNaN: true });
test('copper scaled as one keeps its volume times its factor, however its own factors part it', () => {
	fc.assert(
		fc.property(share, share, share, share, share, (tinned, widthMm, brightGain, tinnedGain, copperGain) => {
			const of = perClass((name) =>
				Float64Array.of(name === 'brightCopper' ? brightGain : name === 'tinnedCopper' ? tinnedGain : 1),
			);
			const areas = Float64Array.of(2 * brightGain, tinned * tinnedGain, 3, 4, 5);
			scaleCopperAsOne(areas, [0.5, widthMm, 1, 1, 1], of, copperGain, 0);
			expect(areas[0]! * 0.5 + areas[1]! * widthMm).toBeCloseTo(copperGain * (2 * 0.5 + tinned * widthMm), 9);
			expect(areas[1]! / areas[0]!).toBeCloseTo((tinned * tinnedGain) / (2 * brightGain), 9);
			expect([...areas.subarray(2)]).toEqual([3, 4, 5]);
		}),
	);
});

test('copper that is called tinned is as much copper as copper that is called bright', () => {
	const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, 2000, 3);
	const freeCopper = (bright: number) => {
		const strand = { areaMm2: 5, widthMm: 0.5 };
		const reading = madeReading({
			brightCopper: { ...strand, count: bright },
			tinnedCopper: { ...strand, count: 100 - bright },
			insulation: { count: 200, areaMm2: 5, widthMm: 1.6 },
		});
		return gradeProduct([[{ ...reading, method: 'model' }]], DEFAULT_MATERIAL, shared).tables.massFraction.freeCopper
			.value;
	};
	// tinned wire holds 2 % of tin, and four tenths of the copper are called so; scaled each by itself it makes a tenth
	expect(Math.abs(freeCopper(50) - freeCopper(90))).toBeLessThan(0.02);
});

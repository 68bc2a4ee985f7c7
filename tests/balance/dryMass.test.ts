import { describe, expect, test } from 'vitest';
import { coarseWeights } from '@/lib/balance/coarseWeights';
import { dryMassOf, netMassOf } from '@/lib/balance/dryMass';
import { type Moisture, type WeighingInput, weighingSchema } from '@/lib/balance/weighing';
import { TrayError } from '@/lib/errors/TrayError';
import { seededRandom } from '@/lib/quantity/seededRandom';
import balances from '@/tests/reference/balance.json';
import uncertainties from '@/tests/reference/uncertainty.json';

const dry = (input: WeighingInput) => dryMassOf(weighingSchema.parse(input));
/** 100 kg of something wet. */
const weighed = (moisture: Moisture) => ({ ...weighingSchema.parse({ gross: 100, resolution: 1e-9 }), moisture });
const refusal = (input: WeighingInput) => {
	const parsed = weighingSchema.safeParse(input);
	if (!parsed.success) return parsed.error.issues.map(({ message }) => message).join(' ');
	try {
		dryMassOf(parsed.data);
	} catch (error) {
		expect(error).toBeInstanceOf(TrayError);
		return `${(error as TrayError).message} ${(error as TrayError).hint}`;
	}
	return undefined;
};

describe('what a weighing says', () => {
	test('a net weight by difference carries the scale step twice', () => {
		const { inputs, expected } = uncertainties.typeB;
		const net = dry({ gross: '12.4 kg', tare: '1.2 kg', resolution: inputs.d });
		expect(net.value).toBeCloseTo(11.2, 12);
		expect(net.u).toBeCloseTo(Math.SQRT2 * expected.resolution, 9);
	});

	test('a scale set to zero with the empty bin carries its step once', () => {
		expect(dry({ gross: 11.2, resolution: 0.1 }).u).toBeCloseTo(0.1 / Math.sqrt(12), 12);
	});

	test('repeatability adds to the step', () => {
		expect(dry({ gross: 10, tare: 1, resolution: 0.1, repeatability: 0.05 }).u).toBeCloseTo(
			Math.sqrt(2 * (0.1 ** 2 / 12 + 0.05 ** 2)),
			12,
		);
	});

	test('without a stated step the last digit written counts, of gross and tare each its own', () => {
		const weighing = weighingSchema.parse({ gross: '40 kg', tare: '1,25 kg' });
		expect(weighing).toMatchObject({ resolutionKg: 1, tareResolutionKg: 0.01 });
		expect(dryMassOf(weighing).u).toBeCloseTo(Math.hypot(1, 0.01) / Math.sqrt(12), 12);
		const subSample = { kind: 'dried', wet: '212 g', dry: '203.55 g' } as const;
		expect(weighingSchema.parse({ gross: '40 kg', moisture: subSample }).moisture).toMatchObject({
			resolutionKg: 0.001,
		});
		// numbers of a file lose their last noughts
		expect(weighingSchema.parse({ gross: 40, tare: 1.25 })).toMatchObject({
			resolutionKg: 0.01,
			tareResolutionKg: 0.01,
		});
	});

	test('a gross weight written to fewer digits than its tare is asked about, unless the step is told', () => {
		const about = (gross: string, resolution?: string) => {
			const weighing = weighingSchema.parse({
				gross,
				tare: '0,78 kg',
				...(resolution === undefined ? {} : { resolution }),
			});
			const products = ['Middlings', 'Tailings'].map((name) => ({ name, weighing }));
			return coarseWeights({ feed: { weighing }, products }).map(({ message }) => message);
		};
		expect(about('4 kg')).toEqual([
			expect.stringContaining('The feed: the gross weight was written with fewer digits'),
			expect.stringMatching(/^Middlings, Tailings: .* in steps of 1 kg\. If the scale showed more/),
		]);
		expect([about('4,00 kg'), about('4 kg', '0.01 kg'), about('4.001 kg')]).toEqual([[], [], []]);
	});

	test('pounds, grams and kilograms of the same bin give the same dry mass', () => {
		const kg = dry({ gross: 10, tare: 1, resolution: 0.1, moisture: { kind: 'fraction', fraction: 0.1 } });
		const inUnit = (unit: string, perKg: number) =>
			dry({
				gross: 10 * perKg,
				tare: perKg,
				resolution: 0.1 * perKg,
				unit,
				moisture: { kind: 'fraction', fraction: 0.1 },
			});
		for (const found of [inUnit('g', 1000), inUnit('lb', 1 / 0.45359237), inUnit('oz', 16 / 0.45359237)]) {
			expect(found.value).toBeCloseTo(kg.value, 10);
			expect(found.u).toBeCloseTo(kg.u, 10);
		}
	});
});

describe('water', () => {
	test('a dried sub-sample gives the moisture of the textbook definition', () => {
		const { inputs, expected } = balances.moisture;
		const massKg = dry({
			gross: 1,
			moisture: { kind: 'dried', wet: inputs.wet, dry: inputs.dry, resolution: 0.001 },
		}).value;
		expect(massKg).toBeCloseTo(1 - expected.wet_basis, 12);
	});

	test('12 % as text, 0.12 as fraction and a dried sub-sample mean the same', () => {
		const wanted = 100 * 0.88;
		for (const moisture of [
			{ kind: 'fraction', fraction: '12 %' },
			{ kind: 'fraction', fraction: 0.12 },
			{ kind: 'fraction', fraction: '12,0%' },
			{ kind: 'dried', wet: '250 g', dry: '220 g' },
			{ kind: 'allowance', water: '12 kg', u: '2 kg' },
		] as const) {
			expect(dry({ gross: 100, moisture }).value).toBeCloseTo(wanted, 10);
		}
	});

	test("an allowance for clinging water brings its own uncertainty, and so does a sub-sample's scale", () => {
		const allowed = dry({ gross: 100, resolution: 0.1, moisture: { kind: 'allowance', water: 12, u: 2 } });
		expect(allowed.u).toBeCloseTo(Math.hypot(0.1 / Math.sqrt(12), 2), 12);
		const step = 0.005 / Math.sqrt(12);
		const sampled = dry({
			gross: 100,
			resolution: 0.1,
			moisture: { kind: 'dried', wet: 0.25, dry: 0.22, resolution: 0.005 },
		});
		// and the moisture of one scoop is a twentieth of itself off its bin's
		const shareU = Math.hypot(step / 0.25, (step * 0.22) / 0.25 ** 2, 0.05 * 0.12);
		expect(sampled.u).toBeCloseTo(Math.hypot((0.88 * 0.1) / Math.sqrt(12), 100 * shareU), 10);
	});

	test('a dried sub-sample holds the moisture of a bin that is not wet alike, and four of them tell it twice as well', () => {
		const random = seededRandom(5, 'sub-samples');
		const wetBin = 0.15;
		let held = 0;
		for (let run = 0; run < 2000; run++) {
			const wetKg = 0.212;
			const dryKg = wetKg * (1 - wetBin * (1 + 0.05 * random.normal()));
			const { value, u } = dryMassOf(weighed({ kind: 'dried', wetKg, dryKg, resolutionKg: 0.0001 }));
			held += Number(Math.abs(value - 100 * (1 - wetBin)) < 1.96 * u);
		}
		expect(held / 2000).toBeGreaterThan(0.93);
		expect(held / 2000).toBeLessThan(0.97);
		const of = (samples: number) =>
			dryMassOf(weighed({ kind: 'dried', wetKg: 0.25, dryKg: 0.22, resolutionKg: 1e-9, samples })).u;
		expect(of(4)).toBeCloseTo(of(1) / 2, 9);
	});

	test('a moisture without an uncertainty is given a tenth of itself', () => {
		const { u } = dry({ gross: 100, resolution: 1e-9, moisture: { kind: 'fraction', fraction: 0.12 } });
		expect(u).toBeCloseTo(1.2, 6);
	});
});

describe('what cannot be', () => {
	test.each<[WeighingInput, RegExp]>([
		[{ gross: 1.2, tare: 12.4 }, /The empty bin \(12\.4 kg\) is heavier than the full one \(1\.2 kg\)\..*swapped/],
		[{ gross: '27,5', tare: '30', unit: 'lb' }, /The empty bin \(30 lb\) is heavier than the full one \(27\.5 lb\)/],
		[{ gross: -3 }, /The gross weight is below zero/],
		[{ gross: 3, tare: -1 }, /The tare is below zero/],
		[{ gross: '120 t' }, /The gross weight is over 100 tonnes/],
		[{ gross: 'NaN' }, /The gross weight "NaN" is not a number/],
		[{ gross: '1,240 lb' }, /can be read in two ways/],
		[{ gross: '2 tons' }, /Write t for 1000 kg or short ton for 2000 lb/],
		[{ gross: 10, unit: 'stone' }, /The unit "stone" is not known/],
		[{ gross: 10, moisture: { kind: 'fraction', fraction: 1 } }, /leaves nothing dry/],
		[{ gross: 10, moisture: { kind: 'fraction', fraction: '100 %' } }, /leaves nothing dry/],
		[{ gross: 10, moisture: { kind: 'fraction', fraction: 12 } }, /Write 12 per cent as 12 % or 0\.12/],
		[{ gross: 10, moisture: { kind: 'fraction', fraction: -0.1 } }, /is not a share/],
		[{ gross: 10, moisture: { kind: 'dried', wet: 0.2, dry: 0.25 } }, /which cannot be/],
		[{ gross: 10, moisture: { kind: 'dried', wet: 0, dry: 0 } }, /which cannot be/],
		[{ gross: 10, moisture: { kind: 'allowance', water: 10, u: 1 } }, /as much as what was weighed/],
	])('%j is refused with a sentence', (input, sentence) => {
		expect(refusal(input)).toMatch(sentence);
	});

	test('a moisture of all water is refused although it came past the form', () => {
		const weighing = {
			grossKg: 10,
			unit: 'kg',
			resolutionKg: 0.1,
			repeatabilityKg: 0,
		} as const;
		expect(() => dryMassOf({ ...weighing, moisture: { kind: 'fraction', fraction: 1 } })).toThrow(TrayError);
		expect(netMassOf(weighing).value).toBe(10);
	});

	test('an unknown field is refused, so that a slip of the pen is not overlooked', () => {
		expect(weighingSchema.safeParse({ gross: 10, tarre: 1 }).success).toBe(false);
	});
});

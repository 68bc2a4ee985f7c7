import { describe, expect, test } from 'vitest';
import { contractClass, contractLimitsSchema } from '@/lib/conformity/contractLimits';
import type { DecisionRule } from '@/lib/conformity/decide';
import { PUBLISHED_CLASSES } from '@/lib/conformity/publishedClasses';
import { settlementOf } from '@/lib/conformity/settle';
import { type MeasuredShares, standingOf } from '@/lib/conformity/standing';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { defaultLockedCopper } from '@/lib/grade/lockedCopper';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { COMPONENTS, type Component } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { estimateOf } from '@/lib/quantity/estimateOf';
import type { Estimate } from '@/lib/quantity/quantity';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { drawWorld, errorRatesOf, readSpreadOf } from '../grade/madeUpSpreads';

const RULE: DecisionRule = { kind: 'guarded', risk: 0.05 };
const classOf = (id: string) => PUBLISHED_CLASSES.find((one) => one.id === id)!;

/** Copper about a value, the rest split between insulation (three quarters), aluminium and other. */
function made(copper: number, u: number, flags: Partial<Record<Component, Partial<Estimate>>> = {}): MeasuredShares {
	const random = seededRandom(3, 'standing', String(copper), String(u));
	const copperDraws = Float64Array.from({ length: 4000 }, () => Math.min(1, copper + u * random.normal()));
	const draws = {
		copper: copperDraws,
		insulation: copperDraws.map((share) => 0.75 * (1 - share)),
		aluminium: copperDraws.map((share) => 0.125 * (1 - share)),
		other: copperDraws.map((share) => 0.125 * (1 - share)),
	};
	const estimates = Object.fromEntries(
		COMPONENTS.map((name) => [name, { ...estimateOf(draws[name]), ...flags[name] }]),
	) as Record<Component, Estimate>;
	return { estimates, draws };
}

test('every limit carries a source and its year', () => {
	const contract = contractClass({ name: 'Contract 12', year: '2026', copperAtLeast: 0.95 });
	for (const { limits } of [...PUBLISHED_CLASSES, contract]) {
		for (const { source } of limits) {
			expect(source.title.length).toBeGreaterThan(5);
			expect(source.year).toMatch(/\b(19|20)\d\d\b/);
		}
	}
});

test('limits are those the sources state', () => {
	const limitsOf = (id: string) => classOf(id).limits.map(({ share, side, fraction }) => [share, side, fraction]);
	expect(limitsOf('clove')).toEqual([['copper', 'least', 0.99]]);
	expect(limitsOf('cobra')).toEqual([
		['copper', 'least', 0.97],
		['aluminium', 'most', 0.005],
		['other', 'most', 0.01],
		['insulation', 'most', 0.01],
	]);
	expect(limitsOf('eu-715-2013')).toEqual([['foreign', 'most', 0.02]]);
	expect(limitsOf('druid')).toEqual([]);
});

describe('a product against a class', () => {
	test('copper that can\u2019t be told leaves what is foreign untold as well', () => {
		const untold = { low: 0, high: 1, belowDetectionLimit: true } as const;
		const [foreign] = standingOf(made(0.995, 0.001, { copper: untold }), classOf('eu-715-2013'), RULE).limits;
		expect(foreign).toMatchObject({ verdict: 'notDecided', measured: { low: 0, high: 1 } });
		expect(foreign!.probability).toBeUndefined();
		expect(settlementOf(foreign!, RULE, undefined)).toEqual({ kind: 'detection' });
	});

	test('is not denied what it may hold if what is below detection beside it is not there', () => {
		const contract = contractClass({ name: 'C', year: '2026', copperAtLeast: 0.987 });
		const below = { insulation: { low: 0, high: 0.014, belowDetectionLimit: true } } as const;
		const judged = (flags: Parameters<typeof made>[2]) => standingOf(made(0.98, 0.003, flags), contract, RULE);
		expect(judged({}).limits[0]).toMatchObject({ verdict: 'doesNotMeet' });
		// without the insulation 98 % are 99.5
		const wide = judged(below);
		expect(wide.limits[0]).toMatchObject({ verdict: 'notDecided', probability: 0.5 });
		expect(wide.together).toEqual({ probability: 0.5, verdict: 'notDecided' });
		const [foreign] = standingOf(made(0.97, 0.003, below), classOf('eu-715-2013'), RULE).limits;
		expect(foreign).toMatchObject({ verdict: 'notDecided' });
	});

	test('that was only just told is not claimed to hold as much as it reads', () => {
		const contract = contractClass({ name: 'C', year: '2026', copperAtLeast: 0.004 });
		const from = (copper: number) => standingOf({ ...made(0.01, 0.003), toldFrom: { copper } }, contract, RULE);
		// so far above what is just told that products at the limit would seldom be told and read like this
		expect(from(0.001).limits[0]).toMatchObject({ verdict: 'meets' });
		const just = from(0.0095);
		expect(just.limits[0]).toMatchObject({ verdict: 'notDecided', probability: 0.5 });
		expect(just.together).toEqual({ probability: 0.5, verdict: 'notDecided' });
	});

	test('that was told from few pieces is not claimed to hold what nobody saw', () => {
		const contract = contractClass({ name: 'C', year: '2026', copperAtLeast: 0.004 });
		const shares = made(0.01, 0.002);
		const leastParts = { copper: shares.draws.copper.map(() => 0.3) };
		expect(standingOf(shares, contract, RULE).together).toMatchObject({ verdict: 'meets' });
		const [copper] = standingOf({ ...shares, leastParts }, contract, RULE).limits;
		expect(copper).toMatchObject({ verdict: 'notDecided', probability: 0.5 });
		expect(standingOf({ ...shares, leastParts }, contract, RULE).together).toEqual({
			probability: 0.5,
			verdict: 'notDecided',
		});
	});

	test('a limit that it misses by a hair is called met in no more than the risk of the products that are told at all', () => {
		const rates = errorRatesOf(0.02, 0.4);
		let [told, wrong] = [0, 0];
		for (let run = 1; run <= 300; run++) {
			const world = drawWorld(run, DEFAULT_MATERIAL, rates);
			const shares = [0.0064, 0.0016, 0.004, 0.982, 0.006];
			const reading = readSpreadOf('lean', world, String(run), shares);
			const shared = drawSharedErrors(DEFAULT_MATERIAL, rates, 300, run);
			const { tables, draws, toldFrom } = gradeProduct([[reading]], DEFAULT_MATERIAL, shared);
			if (tables.massFraction.copper.belowDetectionLimit === true) continue;
			told++;
			const { brightCopper, tinnedCopper } = world.copperFraction;
			const free = shares[0]! * brightCopper + shares[1]! * tinnedCopper;
			const locked = defaultLockedCopper(free, shares[3]!, world.lockedFactor);
			const contract = contractClass({ name: 'C', year: '2026', copperAtLeast: (free + locked) / (1 + locked) });
			const standing = standingOf({ estimates: tables.massFraction, draws, toldFrom }, contract, RULE);
			wrong += Number(standing.limits[0]!.verdict === 'meets');
		}
		// two in ten by the draws alone
		expect(told).toBeGreaterThan(40);
		expect(wrong / told).toBeLessThanOrEqual(0.05);
	});

	test('a trade code is never judged as a whole, a contract is', () => {
		expect(standingOf(made(0.985, 0.002), classOf('clove'), RULE).together).toBeUndefined();
		const contract = contractClass({ name: 'C', year: '2026', copperAtLeast: 0.97, insulationAtMost: 0.02 });
		const { together } = standingOf(made(0.985, 0.002), contract, RULE);
		expect(together).toEqual({ probability: 1, verdict: 'meets' });
	});

	test('the limit closest to failing is the one with the smallest chance', () => {
		const { limits, closest } = standingOf(made(0.975, 0.004), classOf('cobra'), RULE);
		expect(limits[closest!]!.limit.share).toBe('insulation');
		expect(limits[closest!]!.verdict).toBe('doesNotMeet');
		expect(limits[0]!.verdict).toBe('notDecided');
	});

	test('all that is not copper is foreign, and its chance is that of the copper', () => {
		const shares = made(0.981, 0.005);
		const foreign = standingOf(shares, classOf('eu-715-2013'), RULE).limits[0]!;
		const copper = standingOf(shares, contractClass({ name: 'C', year: '2026', copperAtLeast: 0.98 }), RULE).limits[0]!;
		expect(foreign.probability).toBeCloseTo(copper.probability!, 2);
		expect(foreign.measured.value).toBeCloseTo(0.019, 3);
	});

	test('what was not seen counts as within a limit only where it could not have been missed', () => {
		const missing = (high: number) => ({ aluminium: { value: 0.001, low: 0, high, belowDetectionLimit: true } });
		const aluminium = (high: number) =>
			standingOf(made(0.995, 0.001, missing(high)), classOf('cobra'), RULE).limits.find(
				({ limit }) => limit.share === 'aluminium',
			)!;
		expect(aluminium(0.004).verdict).toBe('meets');
		expect(aluminium(0.009)).toMatchObject({ verdict: 'notDecided' });
		expect(aluminium(0.009).probability).toBeUndefined();
	});

	test('limits of one contract are held together world by world', () => {
		const contract = contractClass({ name: 'C', year: '2026', copperAtLeast: 0.975, foreignAtMost: 0.025 });
		const { limits, together } = standingOf(made(0.975, 0.004), contract, RULE);
		// both limits say the same, so together they are as likely as either
		expect(together?.probability).toBeCloseTo(limits[0]!.probability!, 2);
	});
});

describe('what would settle a limit', () => {
	const copperOf = (shares: MeasuredShares) => standingOf(shares, classOf('cobra'), RULE).limits[0]!;

	test('more spreads where they can narrow the range enough', () => {
		const standing = copperOf(made(0.975, 0.004));
		const settlement = settlementOf(standing, RULE, { spreads: 3, perSpreadU: 0.0068, otherU: 0.001 });
		expect(settlement).toMatchObject({ kind: 'spreads' });
		// the value must then stand off by 1.645 standard uncertainties: hypot(0.0068 / sqrt(6), 0.001) = 0.00295 < 0.005 / 1.645
		expect(settlement?.kind === 'spreads' && settlement.more).toBe(3);
	});

	test('more spreads for a limit on insulation too, where its pieces are what scatters', () => {
		const contract = contractClass(contractLimitsSchema.parse({ name: 'C', year: '2026', insulationAtMost: 0.02 }));
		// 1.5 % of insulation, 0.4 % uncertain, against 2 %
		const [standing] = standingOf(made(0.98, 0.0053), contract, RULE).limits;
		expect(standing!.limit.share).toBe('insulation');
		const settlement = settlementOf(standing!, RULE, { spreads: 3, perSpreadU: 0.0068, otherU: 0.0005 });
		expect(settlement).toMatchObject({ kind: 'spreads' });
	});

	test('a check of another kind where other causes are too wide, and nothing where it is decided', () => {
		const wide = { spreads: 3, perSpreadU: 0.004, otherU: 0.01 };
		expect(settlementOf(copperOf(made(0.975, 0.004)), RULE, wide)).toMatchObject({ kind: 'check' });
		expect(settlementOf(copperOf(made(0.99, 0.004)), RULE, wide)).toBeUndefined();
	});

	test('sorting where only the sum of several is beyond a limit on each', () => {
		const other = standingOf(made(0.8, 0.004), classOf('cobra'), RULE).limits[2]!;
		expect(settlementOf(other, RULE, undefined)).toEqual({ kind: 'sortParts' });
	});
});

test('a contract without limits, or with a share beyond the whole, is refused', () => {
	const contract = { name: 'C', year: '2026' };
	expect(contractLimitsSchema.safeParse(contract).success).toBe(false);
	expect(contractLimitsSchema.safeParse({ ...contract, copperAtLeast: 97 }).success).toBe(false);
	expect(contractLimitsSchema.safeParse({ ...contract, copperAtLeast: 0.97 }).success).toBe(true);
});

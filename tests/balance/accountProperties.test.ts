import fc from 'fast-check';
import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import type { AccountInput } from '@/lib/balance/accountInput';
import type { Drawn } from '@/lib/balance/drawn';
import { dryMassInParts } from '@/lib/balance/dryMass';
import type { StreamDraws } from '@/lib/balance/performance';
import type { RunAccount } from '@/lib/balance/runAccount';
import { weighingSchema } from '@/lib/balance/weighing';
import { COMPONENTS } from '@/lib/material/classes';
import type { Estimate } from '@/lib/quantity/quantity';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { madeUpRun, type Shares, shareDraws, type TrueProduct } from './madeUpRun';

const COUNT = 60;
const part = fc.double({ min: 0.0005, max: 1, noNaN: true });
const shares = fc.tuple(part, part, part, part).map((raw): Shares => {
	const sum = raw[0] + raw[1] + raw[2] + raw[3];
	return [raw[0] / sum, raw[1] / sum, raw[2] / sum, raw[3] / sum];
});
const products = fc
	.array(fc.record({ massKg: fc.double({ min: 0.05, max: 60, noNaN: true }), shares }), { minLength: 1, maxLength: 5 })
	.map((list): TrueProduct[] => list.map((product, index) => ({ ...product, id: `product ${index}` })));

/** Runs of any products, with a feed that is weighed and graded up to a third wrong, with or without a loss. */
const anyRun = fc.record({
	products,
	wrong: fc.double({ min: 0.7, max: 1.3, noNaN: true }),
	hasLoss: fc.boolean(),
	feedShares: shares,
});
type AnyRun = typeof anyRun extends fc.Arbitrary<infer Run> ? Run : never;

function inputOf({ products: list, wrong, hasLoss, feedShares }: AnyRun): AccountInput {
	const input = madeUpRun(COUNT, list);
	const feedKg = input.feed!.dryMassKg!.value * wrong;
	const gradeDraws = shareDraws(feedShares, 0.3, [], COUNT, seededRandom(8, 'feed'));
	return {
		...input,
		feed: { dryMassKg: { value: feedKg, u: 0.02 * feedKg }, gradeDraws },
		...(hasLoss ? { statedLoss: { dryMassKg: { value: 0.1, u: 0.02 }, gradeDraws } } : {}),
	};
}

/** Two estimates of the same thing: both missing, or all three numbers alike. */
function expectAlike(found: Estimate | undefined, expected: Estimate | undefined) {
	expect(found === undefined).toBe(expected === undefined);
	if (found === undefined || expected === undefined) return;
	for (const bound of ['value', 'low', 'high'] as const) {
		expect(Math.abs(found[bound] - expected[bound])).toBeLessThan(1e-7 * (1 + Math.abs(expected[bound])));
	}
}

test('mass and every component are conserved, in the values shown and in every draw', () => {
	fc.assert(
		fc.property(anyRun, (drawn) => {
			const input = inputOf(drawn);
			const { account, draws } = accountRun(input);
			const leaving = [...Object.values(draws.products), draws.loss, draws.missing].filter((one) => one !== undefined);
			const feedKg = account.feed.dryMassKg.reconciled!.value;
			const leftKg = leaving.reduce((sum, { massKg }) => sum + massKg!.value, 0);
			expect(Math.abs(leftKg - feedKg)).toBeLessThan(1e-12 * feedKg);
			for (const component of COMPONENTS) {
				const fed = draws.feed.contentKg[component]!;
				const left = leaving.map((stream) => stream.contentKg[component]!);
				expect(Math.abs(left.reduce((sum, { value }) => sum + value, 0) - fed.value)).toBeLessThan(1e-12 * feedKg);
				for (let index = 0; index < COUNT; index++) {
					const sum = left.reduce((total, stream) => total + stream.draws[index]!, 0);
					expect(Math.abs(sum - fed.draws[index]!)).toBeLessThan(1e-12 * feedKg);
				}
			}
		}),
		{ seed: 11, numRuns: 60, endOnFailure: true },
	);
});

test('fractions lie between nothing and all and sum to one, in the values shown and in every draw', () => {
	fc.assert(
		fc.property(anyRun, (drawn) => {
			const input = inputOf(drawn);
			const { draws } = accountRun(input);
			for (const { massFraction } of [draws.feed, ...Object.values(draws.products)]) {
				const all = COMPONENTS.map((component) => massFraction[component]!);
				expect(Math.abs(all.reduce((sum, { value }) => sum + value, 0) - 1)).toBeLessThan(1e-12);
				for (let index = 0; index < COUNT; index++) {
					const parts = all.map((share) => share.draws[index]!);
					if (parts.some(Number.isNaN)) continue; // a stream adjusted to no mass at all has no composition
					for (const share of parts) expect(share).toBeGreaterThanOrEqual(-1e-12);
					expect(Math.abs(parts.reduce((sum, share) => sum + share, 0) - 1)).toBeLessThan(1e-12);
				}
			}
		}),
		{ seed: 12, numRuns: 60, endOnFailure: true },
	);
});

test('recoveries of all products and the loss add up to one and yields too', () => {
	fc.assert(
		fc.property(anyRun, (drawn) => {
			const input = inputOf(drawn);
			const { account, draws } = accountRun(input);
			const feed = draws.feed;
			const lost = (of: (stream: StreamDraws) => Drawn | undefined, whole: Drawn) =>
				[draws.loss, draws.missing].reduce((sum, one) => sum + ((one && of(one)?.value) ?? 0) / whole.value, 0);
			const yields = account.products.reduce((sum, { yieldFraction }) => sum + yieldFraction!.value, 0);
			expect(yields + lost(({ massKg }) => massKg, feed.massKg!)).toBeCloseTo(1, 12);
			for (const component of COMPONENTS) {
				const fed = feed.contentKg[component]!;
				if (fed.value === 0) continue; // what was not fed cannot be recovered
				const recovered = Object.values(draws.products).reduce(
					(sum, { recovery }) => sum + recovery[component]!.value,
					0,
				);
				expect(recovered + lost(({ contentKg }) => contentKg[component], fed)).toBeCloseTo(1, 10);
			}
		}),
		{ seed: 13, numRuns: 60, endOnFailure: true },
	);
});

test('the order in which products are entered changes nothing', () => {
	fc.assert(
		fc.property(anyRun, (drawn) => {
			const input = inputOf(drawn);
			const forward = accountRun(input).account;
			const backward = accountRun({ ...input, products: input.products.toReversed() }).account;
			expect(Math.abs(backward.chiSquare / forward.chiSquare - 1)).toBeLessThan(1e-6);
			for (const product of forward.products) {
				const twin = backward.products.find(({ id }) => id === product.id)!;
				expectAlike(twin.dryMassKg.reconciled, product.dryMassKg.reconciled);
				expectAlike(twin.recovery.copper, product.recovery.copper);
			}
		}),
		{ seed: 14, numRuns: 40, endOnFailure: true },
	);
});

test('weighing in pounds or grams changes no share', () => {
	const scaled = (input: AccountInput, factor: number): AccountInput => {
		const scale = <Stream extends { dryMassKg?: { value: number; u: number } }>(stream: Stream): Stream => ({
			...stream,
			dryMassKg: { value: stream.dryMassKg!.value * factor, u: stream.dryMassKg!.u * factor },
		});
		return {
			...input,
			feed: scale(input.feed!),
			products: input.products.map(scale),
			...(input.statedLoss === undefined ? {} : { statedLoss: scale(input.statedLoss) }),
		};
	};
	fc.assert(
		fc.property(anyRun, fc.constantFrom(1 / 0.45359237, 1000, 0.001), (drawn, factor) => {
			const input = inputOf(drawn);
			const kg = accountRun(input).account;
			const other = accountRun(scaled(input, factor)).account;
			expect(other.degreesOfFreedom).toBe(kg.degreesOfFreedom);
			expect(Math.abs(other.chiSquare / kg.chiSquare - 1)).toBeLessThan(1e-6);
			kg.products.forEach((product, p) => {
				const twin = other.products[p]!;
				expectAlike(twin.yieldFraction, product.yieldFraction);
				expectAlike(twin.recovery.copper, product.recovery.copper);
				expectAlike(twin.massFraction.reconciled.copper, product.massFraction.reconciled.copper);
			});
		}),
		{ seed: 15, numRuns: 40, endOnFailure: true },
	);
});

test('an account is plain data: it survives JSON unchanged, and the same seed gives it again', () => {
	const { account } = accountRun(madeUpRun());
	expect(JSON.parse(JSON.stringify(account))).toEqual(account);
	expect(accountRun(madeUpRun()).account).toEqual(account);
});

test("a scale's own error cancels in yields and stays in masses", () => {
	const input = madeUpRun(2000);
	const onOneScale = {
		...input,
		feed: { ...input.feed!, scale: 'yard scale' },
		products: input.products.map((product) => ({ ...product, scale: 'yard scale' })),
	};
	const width = (run: AccountInput, pick: 'mass' | 'yield') => {
		const [product] = accountRun(run).account.products;
		const estimate = pick === 'mass' ? product!.dryMassKg.reconciled! : product!.yieldFraction!;
		return (estimate.high - estimate.low) / estimate.value;
	};
	const wrongScale = { ...onOneScale, scales: { 'yard scale': 0.02 } };
	expect(width(wrongScale, 'mass')).toBeGreaterThan(1.5 * width(input, 'mass'));
	expect(width(wrongScale, 'yield')).toBeLessThan(1.05 * width(input, 'yield'));
});

test('one moisture typed for several bins is one guess: it cancels in yields and adds up in sums', () => {
	const bins = (...moistures: readonly number[]) => {
		const products = moistures.map((fraction, p) => {
			const weighing = weighingSchema.parse({ gross: '20.00', moisture: { kind: 'fraction', fraction, u: 0.04 } });
			return { id: `${p}`, name: `Bin ${p}`, role: 'middlings' as const, ...dryMassInParts(weighing) };
		});
		return accountRun({ runId: 'made', seed: 3, drawCount: 4000, products }).account;
	};
	const [alike, apart] = [bins(0.2, 0.2), bins(0.2, 0.2001)];
	const widthOf = ({ low, high }: Estimate) => high - low;
	const yieldOf = ({ products }: RunAccount) => widthOf(products[0]!.yieldFraction!);
	// a bin's own is a twentieth of its water, as of a dried sub-sample
	expect(yieldOf(alike) / yieldOf(apart)).toBeCloseTo(0.05 * (0.2 / 0.04), 1);
	expect(widthOf(alike.together.all!.dryMassKg!)).toBeGreaterThan(1.3 * widthOf(apart.together.all!.dryMassKg!));
	expect(widthOf(alike.products[0]!.dryMassKg.measured!)).toBeCloseTo(
		widthOf(apart.products[0]!.dryMassKg.measured!),
		1,
	);
});

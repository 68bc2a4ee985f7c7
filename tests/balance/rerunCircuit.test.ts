import fc from 'fast-check';
import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import { totalLoadOf } from '@/lib/balance/circulatingLoad';
import { drawSplit } from '@/lib/balance/rerunAssumed';
import { afterReruns, splitOfRun } from '@/lib/balance/rerunCircuit';
import { rerunSentences } from '@/lib/report/rerunSentences';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { rerunAccountOf } from '@/lib/value/rerunAccount';
import { rerunValueOf } from '@/lib/value/rerunValue';
import { shares } from '../value/exactRun';

/** 100 kg of feed with 10 kg of copper: 75 % of it won pure, 15 % in 8 kg of middlings, the rest lost; all exact. */
function exactCircuit() {
	const product = (id: string, role: 'concentrate' | 'middlings' | 'tailings', massKg: number, copperKg: number) => ({
		id,
		name: id,
		role,
		dryMassKg: { value: massKg, u: 0 },
		grade: shares(copperKg / massKg),
	});
	return accountRun({
		runId: 'circuit',
		seed: 20,
		drawCount: 50,
		products: [
			product('c', 'concentrate', 7.5, 7.5),
			product('m', 'middlings', 8, 1.5),
			product('t', 'tailings', 84.5, 1),
		],
	});
}

const share = (value: number, u = 0) => ({ value, u });

test('middlings that split like fresh feed bring the closed-circuit recovery: 75 and 15 % come to 88.2 %', () => {
	const run = exactCircuit();
	const [steady] = afterReruns(run, splitOfRun(run)!, [Number.POSITIVE_INFINITY])!;
	// p / (1 - q), sum of the geometric series
	expect(steady!.recovery!.value).toBeCloseTo(0.75 / 0.85, 9);
	expect(steady!.recovery!.value).toBeCloseTo(0.75 * totalLoadOf(0.15), 9);
});

test('each rerun adds the next member of the series, and many come to the steady state', () => {
	const run = exactCircuit();
	const [none, one, two, many, steady] = afterReruns(run, splitOfRun(run)!, [0, 1, 2, 60, Number.POSITIVE_INFINITY])!;
	expect(none!.recovery!.value).toBeCloseTo(0.75, 12);
	expect(none!.fedAgain.value).toBe(0);
	expect(one!.recovery!.value).toBeCloseTo(0.75 + 0.15 * 0.75, 12);
	expect(two!.recovery!.value).toBeCloseTo(0.75 + 0.15 * 0.75 + 0.15 ** 2 * 0.75, 12);
	expect(many!.recovery!.value).toBeCloseTo(steady!.recovery!.value, 12);
});

test('the load fed again is that of the closed series, part by part', () => {
	const run = exactCircuit();
	const split = drawSplit(
		{
			copperToConcentrate: share(0.5),
			copperToMiddlings: share(0.3),
			restToConcentrate: share(0),
			restToMiddlings: share(0.08),
		},
		50,
		20,
	);
	const [steady] = afterReruns(run, split, [Number.POSITIVE_INFINITY])!;
	expect(steady!.fedAgain.value).toBeCloseTo(0.015 / 0.7 + 0.065 / 0.92, 9);
	expect(steady!.concentrate.copper.value).toBeCloseTo(0.075 + (0.015 * 0.5) / 0.7, 9);
});

test('a trace of metal that hides in the middlings does not seem to circulate for ever', () => {
	const run = exactCircuit();
	const trace = { value: 1e-6, draws: new Float64Array(50).fill(1e-6) };
	const none = { value: 0, draws: new Float64Array(50) };
	// all of the feed's other metal, a trace, was seen in the middlings alone
	const products = Object.fromEntries(
		Object.entries(run.draws.products).map(([id, product]) => [
			id,
			{ ...product, contentKg: { ...product.contentKg, other: id === 'm' ? trace : none } },
		]),
	);
	const feed = { ...run.draws.feed, contentKg: { ...run.draws.feed.contentKg, other: trace } };
	const traced = { account: run.account, draws: { ...run.draws, products, feed } };
	const [steady] = afterReruns(traced, splitOfRun(traced)!, [Number.POSITIVE_INFINITY])!;
	expect(Math.max(...steady!.fedAgain.draws)).toBeLessThan(0.1);
});

test('no copper is made: what is won never passes what the concentrate and the middlings held', () => {
	const run = exactCircuit();
	fc.assert(
		fc.property(
			fc.double({ min: 0, max: 1, noNaN: true }),
			fc.double({ min: 0, max: 0.95, noNaN: true }),
			fc.integer({ min: 0, max: 20 }),
			(won, back, times) => {
				const p = won * (1 - back);
				const split = drawSplit(
					{
						copperToConcentrate: share(p),
						copperToMiddlings: share(back),
						restToConcentrate: share(0),
						restToMiddlings: share(0),
					},
					50,
					20,
				);
				const [after] = afterReruns(run, split, [times])!;
				expect(after!.concentrate.copper.value).toBeLessThanOrEqual(0.09 + 1e-12);
				expect(after!.concentrate.copper.value).toBeGreaterThanOrEqual(0.075 - 1e-12);
			},
		),
	);
});

test('one rerun pays as computed by hand, and does not where it costs more than the copper', () => {
	const run = exactCircuit();
	const split = drawSplit(
		{
			copperToConcentrate: share(0.8),
			copperToMiddlings: share(0),
			restToConcentrate: share(0),
			restToMiddlings: share(0),
		},
		50,
		20,
	);
	const [none, one] = afterReruns(run, split, [0, 1])!;
	const sheet = (labour: number) =>
		priceSheetSchema.parse({
			deckside: 'prices/1',
			metals: {
				copper: {
					price: { amount: 8, currency: 'USD', per: 'kg' },
					date: '2026-05-12',
					note: 'invented',
					payable: 0.9,
				},
			},
			labour: { amount: labour, currency: 'USD', per: 'kg' },
		});
	// 0.015 kg of copper, 80 % won, at 7.20; 0.08 kg fed again
	expect(rerunValueOf(none!, one!, sheet(0.1))!.gainPerKg.value).toBeCloseTo(0.015 * 0.8 * 7.2 - 0.08 * 0.1, 9);
	expect(rerunValueOf(none!, one!, sheet(2))!.probabilityPays).toBe(0);
});

test('where middlings are sold, feeding them again takes them off what is sold', () => {
	const assumed = { copperToConcentrate: share(0.8), copperToMiddlings: share(0.1) };
	const split = drawSplit({ ...assumed, restToConcentrate: share(0), restToMiddlings: share(0.5) }, 50, 20);
	const price = { amount: 8, currency: 'USD', per: 'kg' } as const;
	const sheet = priceSheetSchema.parse({
		deckside: 'prices/1',
		sold: ['concentrate', 'middlings'],
		metals: { copper: { price, date: '2026-05-12', note: 'invented', payable: 0.9 } },
		freight: { amount: 0.2, currency: 'USD', per: 'kg' },
	});
	const { value } = rerunAccountOf(exactCircuit(), split, { sheet })!;
	// of 0.015 kg of copper in 0.08 kg of middlings 0.0015 kg are lost; half of the rest and these are not carried to the buyer
	expect(value!.gainPerKg.value).toBeCloseTo(-0.0015 * 7.2 + 0.2 * (0.0015 + 0.5 * 0.065), 9);
	expect(value!.middlings).toBe('sold');
	expect(rerunSentences({ passes: [], value: value!, currency: 'USD' }, sheet)[0]).toMatch(
		/of waste against selling the middlings as they are\.$/,
	);
});

test('middlings that come back whole have no steady state, and it is said', () => {
	const all = { copperToConcentrate: share(0.0005), copperToMiddlings: share(0.9995) };
	const split = drawSplit({ ...all, restToConcentrate: share(0), restToMiddlings: share(0.9999) }, 50, 20);
	const sheet = priceSheetSchema.parse({ deckside: 'prices/1' });
	const account = rerunAccountOf(exactCircuit(), split, { sheet })!;
	const [, one, , , steady] = account.passes;
	expect(one!.fedAgain!.value).toBeCloseTo(0.08, 9);
	expect(steady).toEqual({ reruns: 'steady' });
	expect(rerunSentences(account, sheet)).toContain(
		'There is no steady state: nearly all that is fed again comes back as middlings, and would circulate without end.',
	);
});

test('a run without middlings has nothing to rerun, and shares beyond the whole are refused', () => {
	const run = exactCircuit();
	const noMiddlings = {
		...run,
		account: { ...run.account, products: run.account.products.filter(({ role }) => role !== 'middlings') },
	};
	expect(afterReruns(noMiddlings, splitOfRun(run)!, [1])).toBeUndefined();
	expect(() =>
		drawSplit(
			{
				copperToConcentrate: share(0.8),
				copperToMiddlings: share(0.3),
				restToConcentrate: share(0),
				restToMiddlings: share(0),
			},
			50,
			20,
		),
	).toThrow('more than the whole');
});

import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import { TrayError } from '@/lib/errors/TrayError';
import type { Component } from '@/lib/material/classes';
import { fromKg, KG_PER_UNIT } from '@/lib/quantity/units';
import { type PriceSheetInput, perKg, priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';
import { worthDifferenceOf } from '@/lib/value/worthDifference';
import reference from '../reference/trade.json';
import { exactRun, SHORT_TON_KG, shares } from './exactRun';

const usd = (amount: number, per: 'lb' | 'kg' | 'shortTon' | 't' = 'shortTon') => ({ amount, currency: 'USD', per });
const copper = { price: usd(4, 'lb'), date: '2026-05-12', note: 'invented', payable: 0.8 };

function sheet(more: Partial<PriceSheetInput> = {}) {
	return priceSheetSchema.parse({ deckside: 'prices/1', metals: { copper }, otherCosts: usd(60), ...more });
}

/** A tonne of waste whose products' grades are uncertain, with limits of detection by product and component. */
function roughRun(limits: Readonly<Record<string, Partial<Record<Component, number>>>> = {}) {
	const limitsOf = (id: string) =>
		Object.fromEntries(
			Object.entries(limits[id] ?? {}).map(([component, high]) => [
				component,
				{ value: 0, low: 0, high, belowDetectionLimit: true },
			]),
		);
	return accountRun({
		runId: 'uncertain',
		seed: 20,
		drawCount: 4000,
		products: [
			{
				id: 'c',
				name: 'Concentrate',
				role: 'concentrate',
				dryMassKg: { value: 40, u: 0 },
				grade: shares(0.9, 0.02),
				massFraction: limitsOf('c'),
			},
			{
				id: 't',
				name: 'Tailings',
				role: 'tailings',
				dryMassKg: { value: 960, u: 0 },
				grade: shares(0.004, 0.001),
				massFraction: limitsOf('t'),
			},
		],
	});
}

test('4 % copper in the waste is 80 lb per short ton and 40 kg per tonne', () => {
	const { inputs, expected } = reference.poundsPerTon;
	const { copperInWaste } = valueOfRun(exactRun(), sheet());
	expect(copperInWaste!.value).toBeCloseTo(inputs.metal_lb / inputs.waste_lb, 12);
	expect(fromKg(copperInWaste!.value * SHORT_TON_KG, 'lb')).toBeCloseTo(expected.lb_per_short_ton, 9);
	expect(copperInWaste!.value * 1000).toBeCloseTo(expected.kg_per_tonne, 10);
});

test('a short ton of waste at 85 % recovery brings the hand-computed gross and net', () => {
	const { expected } = reference.valuePerShortTon;
	const value = valueOfRun(exactRun(), sheet());
	const perTon = (perKg: number) => perKg * SHORT_TON_KG;
	expect(perTon(value.lines!.find(({ line }) => line === 'copper')!.perKg.value)).toBeCloseTo(expected.gross_usd, 9);
	expect(perTon(value.marginPerKg!.value)).toBeCloseTo(expected.net_usd, 9);
	// the run is one short ton
	expect(value.marginPerRun!.value).toBeCloseTo(expected.net_usd, 9);
	expect(value.currency).toBe('USD');
	expect(value.probabilityPays).toBe(1);
});

test('prices per pound, kilogram, short ton and tonne are one price, exactly', () => {
	const { expected } = reference.priceUnits;
	const perLb = perKg(usd(4, 'lb'));
	expect(perLb * 1000).toBeCloseTo(expected.price_per_tonne, 6);
	expect(fromKg(1000, 'lb')).toBeCloseTo(expected.lb_per_tonne, 6);
	expect(fromKg(1000, 'shortTon')).toBeCloseTo(expected.short_tons_per_tonne, 9);
	for (const per of ['kg', 'shortTon', 't'] as const) {
		const other = { ...copper, price: usd(perLb * KG_PER_UNIT[per], per) };
		const margin = valueOfRun(exactRun(), sheet({ metals: { copper: other } })).marginPerKg!;
		expect(margin.value * SHORT_TON_KG).toBeCloseTo(157.6, 9);
	}
});

test('worth in the waste follows the entered price, and what the tailings took is its lost part', () => {
	const value = valueOfRun(exactRun(), sheet());
	expect(value.worthInWaste!.value * SHORT_TON_KG).toBeCloseTo(80 * 4, 9);
	expect(value.worthInTailings!.value * SHORT_TON_KG).toBeCloseTo(80 * 0.15 * 4, 9);
});

test('a deduction of one point, treatment, freight and a penalty come off as computed by hand', () => {
	// 80 lb of copper, 85 % won, at 80 % grade: 85 lb of product that hold 68 lb of copper
	const value = valueOfRun(
		exactRun(0.85, 0.8),
		sheet({
			metals: { copper: { ...copper, deduction: 0.01 } },
			otherCosts: usd(0.5, 'shortTon'),
			treatment: usd(0.1, 'lb'),
			freight: usd(0.05, 'lb'),
			penalties: [{ component: 'insulation', above: 0.15, perPoint: usd(0.02, 'lb') }],
		}),
	);
	const lines = Object.fromEntries(value.lines!.map(({ line, perKg: one }) => [line, one.value * SHORT_TON_KG]));
	expect(lines.copper).toBeCloseTo((68 - 0.85) * 4 * 0.8, 9);
	expect(lines.treatment).toBeCloseTo(-8.5, 9);
	expect(lines.freight).toBeCloseTo(-4.25, 9);
	// 20 % insulation is 5 points above the limit: 5 x 0.02 x 85 lb
	expect(lines.penalties).toBeCloseTo(-8.5, 9);
	expect(lines.otherCosts).toBeCloseTo(-0.5, 9);
	const sum = Object.values(lines).reduce((total, line) => total + line, 0);
	expect(value.marginPerRun!.value).toBeCloseTo(sum, 9);
});

test('at its break-even price, and at its break-even feed grade, a run neither wins nor loses', () => {
	const value = valueOfRun(exactRun(), sheet());
	// 60 USD of cost over 68 lb won and 80 % payable
	expect(value.breakEvenPricePerKg!.value * KG_PER_UNIT.lb).toBeCloseTo(60 / (68 * 0.8), 9);
	expect(value.breakEvenFeedGrade!.value).toBeCloseTo((0.04 * 60) / 217.6, 12);
	const price = { ...copper, price: usd(value.breakEvenPricePerKg!.value, 'kg') };
	expect(valueOfRun(exactRun(), sheet({ metals: { copper: price } })).marginPerRun!.value).toBeCloseTo(0, 9);
});

test('where costs are above what pure copper brings, no grade breaks even, and none above 1 is given', () => {
	const value = valueOfRun(exactRun(), sheet({ otherCosts: usd(100_000) }));
	expect(value.breakEvenFeedGrade).toBeUndefined();
	expect(value.cannot.join(' ')).toContain('even waste of nothing but copper would not pay');
	// 4 % copper of which 90 % is won, at 80 % of 4 USD a pound: some 6350 USD a tonne of pure copper
	const near = valueOfRun(roughRun(), sheet({ otherCosts: usd(6350, 't') })).breakEvenFeedGrade!;
	expect(near.low).toBeLessThan(1);
	expect([near.value <= 1, near.high]).toEqual([true, 1]);
});

test('an investment of a hundred short tons of margin is paid back in a year at a hundred short tons a year', () => {
	const investment = { amount: 15_760, currency: 'USD', yearlyFeedKg: 100 * SHORT_TON_KG };
	expect(valueOfRun(exactRun(), sheet({ investment })).paybackYears!.value).toBeCloseTo(1, 9);
	const losing = valueOfRun(exactRun(), sheet({ investment, otherCosts: usd(300) }));
	expect(losing.paybackYears!.value).toBe(Number.POSITIVE_INFINITY);
	expect(losing.probabilityPays).toBe(0);
});

test('the tornado puts the price first and shows what a tenth of it does', () => {
	const { sensitivities } = valueOfRun(exactRun(), sheet());
	const price = sensitivities.find(({ input }) => input === 'copperPrice')!;
	expect(price.marginAtLow * SHORT_TON_KG).toBeCloseTo(157.6 - 21.76, 9);
	expect(price.marginAtHigh * SHORT_TON_KG).toBeCloseTo(157.6 + 21.76, 9);
	const costs = sensitivities.find(({ input }) => input === 'otherCosts')!;
	expect(costs.marginAtHigh * SHORT_TON_KG).toBeCloseTo(157.6 - 6, 9);
	const swings = sensitivities.map(({ marginAtLow, marginAtHigh }) => Math.abs(marginAtHigh - marginAtLow));
	expect(swings).toEqual([...swings].sort((a, b) => b - a));
});

test("the margin's interval carries that of the grades", () => {
	const { marginPerRun, sensitivities } = valueOfRun(roughRun(), sheet({ otherCosts: usd(20, 't') }));
	const perGrade = 40 * perKg(usd(4, 'lb')) * 0.8;
	expect(marginPerRun!.value).toBeCloseTo(0.9 * perGrade - 20, 6);
	// copper and insulation were measured apart and sum to one: reconciling takes a factor of sqrt 2 off their uncertainty;
	// half the 95 % interval is 1.96 of that, and 4000 draws repeat it to about 2 %
	const half = (1.96 * 0.02 * perGrade) / Math.SQRT2;
	expect((marginPerRun!.high - marginPerRun!.low) / 2 / half).toBeCloseTo(1, 1);
	expect(sensitivities.map(({ input }) => input)).toContain('recovery');
});

test('a concentrate that may hold next to no copper weighs no more than all that was fed, at the low end of its grade', () => {
	const run = accountRun({
		runId: 'lean',
		seed: 20,
		drawCount: 500,
		products: [
			{ id: 'c', name: 'Concentrate', role: 'concentrate', dryMassKg: { value: 40, u: 0 }, grade: shares(0.02, 0.1) },
			{ id: 't', name: 'Tailings', role: 'tailings', dryMassKg: { value: 960, u: 0 }, grade: shares(0.004, 0.001) },
		],
	});
	const { sensitivities } = valueOfRun(run, sheet({ freight: usd(10, 't') }));
	const grade = sensitivities.find(({ input }) => input === 'soldGrade')!;
	// 60 dollars per short ton of waste, and at most a tonne of freight per tonne
	expect(grade.marginAtLow).toBeGreaterThanOrEqual(-60 / SHORT_TON_KG - 0.01);
});

test('what other bins may hold below detection raises the feed grade that breaks even, and nothing else of the money', () => {
	const [own, limited] = [roughRun(), roughRun({ t: { copper: 0.02 } })].map((run) =>
		valueOfRun(run, sheet({ otherCosts: usd(20, 't') })),
	);
	// 36 kg won in a tonne, and 20 kg in the tailings where these hold all that their limit leaves open
	const most = (own!.breakEvenFeedGrade!.value * (36 + 0.02 * 960)) / (36 + 0.004 * 960);
	expect(limited!.breakEvenFeedGrade!.high).toBeGreaterThan(0.98 * most);
	expect(own!.breakEvenFeedGrade!.high).toBeLessThan(0.85 * most);
	expect(limited!.breakEvenFeedGrade!.value).toBe(own!.breakEvenFeedGrade!.value);
	expect(limited!.marginPerKg).toEqual(own!.marginPerKg);
	expect(limited!.breakEvenPricePerKg).toEqual(own!.breakEvenPricePerKg);
	const recovery = (value: typeof own) => value!.sensitivities.find(({ input }) => input === 'recovery')!.low;
	expect(recovery(limited)).toBeLessThan(0.8 * recovery(own));
});

test('what is sold may hold as much of a charged component as its limit of detection leaves open, and pays no surer', () => {
	const charged = sheet({
		otherCosts: usd(240, 't'),
		penalties: [{ component: 'other', above: 0.01, perPoint: usd(0.2, 'kg') }],
	});
	const [own, limited] = [roughRun(), roughRun({ c: { other: 0.05 } })].map((run) => valueOfRun(run, charged));
	// four points over the limit on 40 kg a tonne
	const most = -4 * 0.2 * 0.04;
	const penalty = limited!.lines!.find(({ line }) => line === 'penalties')!.perKg;
	expect([own!.lines!.some(({ line }) => line === 'penalties'), penalty.value, penalty.high]).toEqual([false, 0, 0]);
	// a little more where draws of the limit's edge lie beyond it
	expect(penalty.low / most).toBeCloseTo(1, 1);
	expect(limited!.marginPerKg!.low).toBeLessThan(own!.marginPerKg!.low);
	expect(limited!.marginPerKg!.high).toBe(own!.marginPerKg!.high);
	expect(own!.probabilityPays).toBeGreaterThan(0.975);
	expect(limited!.probabilityPays).toBeLessThan(own!.probabilityPays!);
	const worth = worthDifferenceOf(roughRun(), roughRun({ c: { other: 0.05 } }), charged)!;
	expect(worth.perKg.value).toBe(0);
	expect(worth.perKg.low / most).toBeCloseTo(1, 1);
});

test('amounts in two currencies are refused, never converted', () => {
	const mixed = sheet({ freight: { amount: 50, currency: 'EUR', per: 't' } });
	expect(() => valueOfRun(exactRun(), mixed)).toThrow(TrayError);
	expect(() => valueOfRun(exactRun(), mixed)).toThrow('the price of copper in USD, freight in EUR');
});

test('without a price the metal in the waste still stands, and the sentence says what is missing', () => {
	const value = valueOfRun(exactRun(), sheet({ metals: {} }));
	expect(value.copperInWaste!.value).toBeCloseTo(0.04, 12);
	expect(value.marginPerKg).toBeUndefined();
	expect(value.cannot.join(' ')).toContain('No copper price is entered');
});

test('a price of zero is refused with a sentence', () => {
	const parsed = priceSheetSchema.safeParse({
		deckside: 'prices/1',
		metals: { copper: { ...copper, price: usd(0, 'lb') } },
	});
	expect(parsed.success).toBe(false);
	expect(parsed.error!.issues[0]!.message).toContain('no price');
});

test('a run without a weight of its tailings has no margin per ton, and says so', () => {
	const run = accountRun({
		runId: 'no tailings weight',
		seed: 20,
		drawCount: 50,
		products: [
			{ id: 'c', name: 'Concentrate', role: 'concentrate', dryMassKg: { value: 40, u: 0.1 }, grade: shares(0.9, 0.02) },
			{ id: 't', name: 'Tailings', role: 'tailings', grade: shares(0.004, 0.001) },
		],
	});
	const value = valueOfRun(run, sheet());
	expect(value.marginPerKg).toBeUndefined();
	expect(value.cannot.join(' ')).toContain('There is no weight of Tailings and none of the feed');
});

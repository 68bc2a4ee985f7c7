import { describe, expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import type { AccountInput, ProductInput } from '@/lib/balance/accountInput';
import { cannotCompareOf } from '@/lib/balance/compareWarnings';
import { splitOfRun } from '@/lib/balance/rerunCircuit';
import { TrayError } from '@/lib/errors/TrayError';
import { flowDiagramOf } from '@/lib/report/flowDiagram';
import { rerunCannotSentence } from '@/lib/report/rerunSentences';
import { accountCsv } from '@/lib/report/runTables';
import { recoverySentence } from '@/lib/report/sentences';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { valueOfRun } from '@/lib/value/runValue';
import { madeUpRun } from './madeUpRun';

const whole = madeUpRun(500);
const codes = (input: AccountInput) => accountRun(input).account.warnings.map(({ code }) => code);

/** The run with one product changed; fields named in `drop` are taken away. */
function changed(id: string, drop: readonly (keyof ProductInput)[], input: AccountInput = whole): AccountInput {
	const products = input.products.map((product) =>
		product.id === id
			? (Object.fromEntries(
					Object.entries(product).filter(([key]) => !drop.includes(key as keyof ProductInput)),
				) as unknown as ProductInput) // id, name and role are never dropped
			: product,
	);
	return { ...input, products };
}

function without<Key extends keyof AccountInput>(input: AccountInput, key: Key): AccountInput {
	const { [key]: _dropped, ...rest } = input;
	return rest as AccountInput; // only optional keys are dropped here
}

describe('a product with a weight and no photo', () => {
	const input = changed('middlings', ['gradeDraws']);

	test('leaves its grade unknown and gives the others limits of recovery', () => {
		const { account } = accountRun(input);
		const [concentrate, middlings] = account.products;
		expect(middlings!.massFraction.reconciled).toEqual({});
		expect(middlings!.recovery).toEqual({});
		expect(middlings!.dryMassKg.reconciled).toBeDefined();
		expect(concentrate!.recovery).toEqual({});
		expect(concentrate!.massFraction.reconciled.copper).toBeDefined();
		const { low, high } = concentrate!.recoveryBounds!.copper!;
		// all of the middlings copper: 1.932 of 5.59 kg; none of it: 1.932 of 2.19 kg
		expect(low).toBeLessThan(0.345);
		expect(high).toBeGreaterThan(0.88);
		expect(concentrate!.recoveryAmongGraded!.copper!.value).toBeCloseTo(0.88, 2);
		expect(account.feed.gradeOrigin).toBe('unknown');
		expect(account.warnings.map(({ code }) => code)).toContain('grade-unknown');
	});

	test('is told in one warning, however many photos are missing', () => {
		const told = (ids: readonly string[]) =>
			accountRun(ids.reduce((run, id) => changed(id, ['gradeDraws'], run), whole))
				.account.warnings.filter(({ code }) => code === 'grade-unknown')
				.map(({ message }) => message);
		expect(told(['middlings'])).toHaveLength(1);
		const all = told(whole.products.map(({ id }) => id));
		expect(all).toHaveLength(1);
		expect(all[0]).toMatch(
			/^No photos of .+ and .+ have been read, so their grades are unknown\. Each needs a spread, photographed and read\.$/,
		);
	});

	test('promises no limits of recoveries where a weight is missing too', () => {
		const { account } = accountRun(changed('tailings', ['dryMassKg'], without(input, 'feed')));
		const told = account.warnings.filter(({ code }) => code === 'grade-unknown').map(({ message }) => message);
		expect(told).toEqual([
			'No photo of middlings has been read, so its grade is unknown. It needs a spread, photographed and read.',
		]);
	});

	test('the limits hold the recovery that the missing photo would have given', () => {
		const full = accountRun(whole).account.products[0]!.recovery.copper!;
		const { low, high } = accountRun(input).account.products[0]!.recoveryBounds!.copper!;
		expect(low).toBeLessThan(full.low);
		expect(high).toBeGreaterThan(full.high);
	});

	test('gets its grade by difference where the feed has one', () => {
		const feed = { dryMassKg: { value: 48.7, u: 0.1 }, grade: { copper: { value: 0.0602, u: 0.002 } } };
		const { account } = accountRun({ ...input, feed });
		const middlings = account.products[1]!;
		const { value, low, high } = middlings.massFraction.reconciled.copper!;
		expect(low).toBeLessThan(0.2);
		expect(high).toBeGreaterThan(0.2);
		expect(value).toBeGreaterThanOrEqual(0);
		expect(middlings.massFraction.reconciled.aluminium).toBeUndefined();
		expect(account.warnings.map(({ code }) => code)).toContain('grade-by-difference');
	});
});

describe('a product with a photo and no weight', () => {
	test('is weighed by difference from the feed', () => {
		const { account } = accountRun(changed('tailings', ['dryMassKg']));
		const fed = account.feed.dryMassKg.measured!.value;
		const others = account.products[0]!.dryMassKg.measured!.value + account.products[1]!.dryMassKg.measured!.value;
		expect(account.products[2]!.dryMassKg.measured).toBeUndefined();
		expect(account.products[2]!.dryMassKg.reconciled!.value).toBeCloseTo(fed - others, 9);
		expect(account.products[2]!.recovery.copper).toBeDefined();
		expect(account.closure).toBeUndefined();
		expect(account.warnings.map(({ code }) => code)).toEqual(['mass-by-difference']);
	});

	test('stays without a mass where two weights are missing, and nothing that needs them is given', () => {
		const { account } = accountRun(changed('tailings', ['dryMassKg'], changed('middlings', ['dryMassKg'])));
		for (const product of account.products) expect(product.recovery).toEqual({});
		expect(account.products[0]!.yieldFraction).toBeDefined();
		expect(account.products[2]!.yieldFraction).toBeUndefined();
		expect(account.products[2]!.massFraction.measured.copper).toBeDefined();
		expect(account.products[2]!.massFraction.reconciled.copper).toEqual(
			account.products[2]!.massFraction.measured.copper,
		);
		expect(account.warnings.flatMap(({ code, message }) => (code === 'mass-unknown' ? [message] : []))).toEqual([
			'middlings and tailings have no weight and nothing else gives them, so their yields and all recoveries stay unknown; grades stand. Weigh them, or remove those that the table does not have.',
		]);
	});
});

test('a product that was photographed and weighed as nothing is named', () => {
	const products = whole.products.map((product) =>
		product.id === 'middlings' ? { ...product, dryMassKg: { value: 0, u: 0.004 } } : product,
	);
	const told = accountRun({ ...whole, products }).account.warnings.filter(({ code }) => code === 'mass-nought');
	expect(told.map(({ message }) => message)).toEqual([
		'middlings was photographed, but by its weight there may be nothing in it. Check its weight, or weigh it on a finer scale.',
	]);
	expect(codes(whole)).not.toContain('mass-nought');
});

describe('a run without a feed weight, without weights, without anything', () => {
	test('takes the feed as the sum of what left and does not claim to close', () => {
		const { account } = accountRun(without(whole, 'feed'));
		expect(account.closure).toBeUndefined();
		expect(account.probability).toBeUndefined();
		expect(account.feed.massOrigin).toBe('sum-of-products');
		expect(account.feed.dryMassKg.reconciled!.value).toBeCloseTo(48.7, 9);
		expect(account.products[0]!.recovery.copper).toBeDefined();
		expect(account.warnings.map(({ code }) => code)).toEqual(['feed-not-weighed']);
	});

	test('keeps the measured grades when nothing was weighed', () => {
		const bare = ['concentrate', 'middlings', 'tailings'].reduce(
			(input, id) => changed(id, ['dryMassKg'], input),
			without(whole, 'feed'),
		);
		const { account } = accountRun(bare);
		for (const product of account.products) {
			expect(product.massFraction.measured.copper).toBeDefined();
			expect(product.recovery).toEqual({});
			expect(product.dryMassKg).toEqual({});
		}
		expect(codes(bare)).toContain('mass-unknown');
	});

	test('a run with no products is refused with a sentence', () => {
		expect(() => accountRun({ ...whole, products: [] })).toThrow(TrayError);
		expect(() => accountRun({ ...whole, products: [] })).toThrow('The run has no products.');
	});

	test('exact weights that contradict each other are refused with a sentence', () => {
		const exact = { ...whole, feed: { dryMassKg: { value: 50, u: 0 } } };
		const products = whole.products.map((product) => ({ ...product, dryMassKg: { value: 16, u: 0 } }));
		expect(() => accountRun({ ...exact, products })).toThrow('given as exact disagree');
	});

	test('a lone product is the whole of its run', () => {
		const { account } = accountRun({ ...without(whole, 'feed'), products: whole.products.slice(0, 1) });
		expect(account.products[0]!.recovery.copper).toEqual({ value: 1, low: 1, high: 1 });
		expect(account.products[0]!.yieldFraction!.value).toBe(1);
	});

	test('an empty bin holds nothing and hinders nothing', () => {
		const products = whole.products.map((product) =>
			product.id === 'middlings' ? { ...product, dryMassKg: { value: 0, u: 0.003 } } : product,
		);
		const { account } = accountRun({ ...whole, products, feed: { dryMassKg: { value: 45.4, u: 0.3 } } });
		expect(account.products[1]!.recovery.copper!.value).toBeLessThan(0.001);
		expect(account.products[0]!.recovery.copper!.value).toBeGreaterThan(0.8);
	});
});

describe('what a run leads with while bins are missing', () => {
	const said = (input: AccountInput) => recoverySentence(accountRun(input).account)?.replaceAll('\u00a0', ' ');
	const apart = (...ids: string[]) => ({ ...whole, products: whole.products.filter(({ id }) => !ids.includes(id)) });

	test('is limits where much of the feed is in no bin, and these hold what the bin that was left out would tell', () => {
		const truth = accountRun(whole).account.together.concentrate!.recovery.copper!;
		for (const id of ['middlings', 'tailings']) {
			const { account, draws } = accountRun(apart(id));
			for (const group of [account.together.concentrate!, account.products[0]!]) {
				expect(group.recovery).toEqual({});
				expect(group.recoveryBounds!.copper!.low).toBeLessThan(truth.low);
				expect(group.recoveryBounds!.copper!.high).toBeGreaterThan(truth.high);
			}
			expect(said(apart(id))).toMatch(
				/: between \d+ and 9?\d+ %; no more is known, since .+ kg .+ of the feed is in no bin\.$/,
			);
			// nothing is stretched: bins hold what they weighed, and the rest is in none
			expect(account.products[0]!.dryMassKg.reconciled!.value).toBeCloseTo(2.1, 9);
			expect(account.warnings[0]!.message).toMatch(/Look for a bin that was left out.+ recoveries are given as limits/);
			expect(flowDiagramOf(account, draws, 'mass').bands.at(-1)!.name).toBe('In no bin');
			expect(valueOfRun({ account, draws }, priceSheetSchema.parse({ deckside: 'prices/1' })).cannot).toContain(
				'The metal in the waste is not known as a whole, since much of the feed is in no bin; the margin rests on what is sold alone.',
			);
			expect(rerunCannotSentence(account, splitOfRun({ account, draws }) !== undefined)).toContain(
				'much of the feed is in no bin',
			);
			expect(cannotCompareOf({ name: 'whole', ...accountRun(whole) }, { name: 'part', account, draws })).toContain(
				"Much of what part was fed is in no bin: its recoveries can't be compared; yields and grades still can.",
			);
			expect(accountCsv(account)).toContain(`,,${account.products[0]!.recoveryBounds!.copper!.low},`);
		}
	});

	test('asks for no photo of a bin that was photographed, though by its weight there may be nothing in it', () => {
		const products = whole.products.map((product) => {
			const { id, name, role } = product;
			if (id === 'middlings') return { id, name, role };
			return id === 'tailings' ? { ...product, dryMassKg: { value: 0, u: 0.3 } } : product;
		});
		expect(said({ ...whole, products })).toMatch(/ without a photo of middlings\.$/);
	});

	test.each([
		['concentrate', 10, true],
		['concentrate', 0.1, false],
		['middlings', 10, true],
		['middlings', 0.1, false],
		['tailings', 2, true],
		['feed', 0.5, true],
		['feed', 2, false],
	])('holds the recovery where the weight of %s was misread %f times', (id, factor, isTooMuch) => {
		const truth = accountRun(whole).account.together.concentrate!.recovery.copper!.value;
		const misread = <One extends { readonly dryMassKg?: { readonly value: number; readonly u: number } }>(
			one: One,
		): One => ({ ...one, dryMassKg: { ...one.dryMassKg!, value: factor * one.dryMassKg!.value } }) as One;
		const input = {
			...whole,
			...(id === 'feed' ? { feed: misread(whole.feed!) } : {}),
			products: whole.products.map((product) => (product.id === id ? misread(product) : product)),
		};
		const { account, draws } = accountRun(input);
		const { together, isPartMissing, warnings } = account;
		const { recovery, recoveryBounds } = together.concentrate!;
		expect([recovery, isPartMissing]).toEqual([{}, isTooMuch ? undefined : true]);
		expect(recoveryBounds!.copper!.low).toBeLessThan(truth);
		expect(recoveryBounds!.copper!.high).toBeGreaterThan(truth);
		const [band] = flowDiagramOf(account, draws, 'copper').bands;
		if (isTooMuch) expect(band!.shareOfFeed).toMatchObject(account.products[0]!.recoveryBounds!.copper!);
		expect(said(input)).toContain(isTooMuch ? 'more than the feed' : 'is in no bin');
		expect(warnings[0]!.message).toContain('which hold with any one weight misread');
	});

	test('says which bin it lacks a photo or a weight of, and else what it rests on', () => {
		expect(said(whole)).toMatch(/concentrates: 67 % \(\d+ to \d+\)\.$/);
		expect(said(without(whole, 'feed'))).toMatch(/67 % \(.+\), if nothing was lost\.$/);
		expect(said(changed('tailings', ['dryMassKg']))).toMatch(/66 % \(.+\), if nothing was lost\.$/);
		expect(said(changed('tailings', ['gradeDraws']))).toMatch(
			/: between 3 and 8\d %; no more is known without a photo of tailings\.$/,
		);
		expect(said(without(changed('tailings', ['dryMassKg']), 'feed'))).toMatch(
			/: 8\d % at most; no more is known without a weight of tailings\.$/,
		);
		expect(said(changed('concentrate', ['gradeDraws']))).toMatch(/: not known without a photo of concentrate\.$/);
		expect(said(without(apart('middlings', 'tailings'), 'feed'))).toMatch(
			/: not known, since there is no other bin\.$/,
		);
	});
});

describe('losses', () => {
	test('a stated loss with a composition is part of the feed', () => {
		const statedLoss = { dryMassKg: { value: 0.3, u: 0.05 }, grade: { copper: { value: 0.5, u: 0.1 } } };
		const { account } = accountRun({ ...whole, statedLoss });
		const recovered = account.products.reduce((sum, product) => sum + product.recovery.copper!.value, 0);
		expect(recovered).toBeLessThan(0.97);
		expect(account.loss!.dryMassKg.reconciled!.value).toBeCloseTo(0.3, 1);
		expect(account.closure!.value).toBeCloseTo(1, 9);
	});

	test('a stated loss of unknown composition leaves limits', () => {
		const { account } = accountRun({ ...whole, statedLoss: { dryMassKg: { value: 0.3, u: 0.05 } } });
		expect(account.products[0]!.recovery).toEqual({});
		expect(account.products[0]!.recoveryBounds!.copper!.high).toBeGreaterThan(
			account.products[0]!.recoveryBounds!.copper!.low,
		);
	});
});

describe('measurements that disagree', () => {
	test('more copper in the products than in the feed is shown, explained and never becomes a recovery over one', () => {
		const feed = { dryMassKg: { value: 48.7, u: 0.1 }, grade: { copper: { value: 0.04, u: 0.001 } } };
		const { account } = accountRun({ ...whole, feed });
		expect(account.componentClosure.copper!.value).toBeGreaterThan(1.2);
		expect(account.warnings.map(({ code }) => code)).toEqual(
			expect.arrayContaining(['more-than-fed', 'balance-does-not-close']),
		);
		for (const { recovery } of account.products) expect(recovery.copper!.high).toBeLessThanOrEqual(1);
		expect(account.together.all!.recovery.copper!.value).toBeCloseTo(1, 12);
	});

	const assayed = (massesKg: readonly number[]): AccountInput => ({
		...without(whole, 'feed'),
		feed: { dryMassKg: { value: 48.7, u: 0.05 }, grade: { copper: { value: 0.0589, u: 0.0005 } } },
		products: whole.products.map(({ id, name, role }, p) => ({
			id,
			name,
			role,
			dryMassKg: { value: massesKg[p]!, u: 0.02 },
			grade: { copper: { value: [0.92, 0.2, 0.006][p]!, u: 0.002 } },
		})),
	});

	test('a concentrate weighed with the wrong tare is named as the most suspicious', () => {
		expect(accountRun(assayed([2.1, 3.4, 43.2])).account.mostSuspicious).toBeUndefined();
		const { account } = accountRun(assayed([3.1, 3.4, 43.2]));
		expect(account.mostSuspicious!.measurements).toEqual(['the weight of concentrate']);
		expect(account.mostSuspicious!.standardDeviations).toBeGreaterThan(10);
		expect(account.mostSuspicious!.sentence).toContain('Look at the weight of concentrate first');
		expect(account.warnings[0]!.message).toContain('1 kg too much');
	});

	test('a feed grade that disagrees cannot be told from a product grade that does, and all are named', () => {
		const { feed, ...rest } = assayed([2.1, 3.4, 43.2]);
		const { account } = accountRun({ ...rest, feed: { ...feed, grade: { copper: { value: 0.08, u: 0.0005 } } } });
		expect(account.mostSuspicious!.measurements).toContain('the copper grade of the feed');
		expect(account.mostSuspicious!.measurements).toContain('the copper grade of middlings');
		// the concentrate would have to hold 141 %
		expect(account.mostSuspicious!.measurements).not.toContain('the copper grade of concentrate');
		expect(account.mostSuspicious!.sentence).toContain('cannot tell which');
	});

	test('grades from photos are not suspected of what only weights can explain', () => {
		const { account } = accountRun({ ...whole, feed: { dryMassKg: { value: 53, u: 0.25 } } });
		expect(account.mostSuspicious!.measurements).toEqual([
			'the weight of the feed',
			...whole.products.map(({ name }) => `the weight of ${name}`),
		]);
	});

	test('a bin known by its assay alone holds no more copper than it weighs', () => {
		const { feed, products, ...rest } = assayed([2.1, 3.4, 43.2]);
		const rich = { ...feed, grade: { copper: { value: 0.0634, u: 0.0002 } } };
		const known = products.map((product, p) => ({
			...product,
			grade: {
				copper: [
					{ value: 0.99, u: 0.02 },
					{ value: 0.2, u: 0.0005 },
					{ value: 0.006, u: 0.0001 },
				][p]!,
			},
		}));
		const { account } = accountRun({ ...rest, products: known, feed: rich });
		const { massFraction, recovery } = account.products[0]!;
		expect(massFraction.reconciled.copper!.value).toBeLessThanOrEqual(1 + 1e-12);
		expect(massFraction.reconciled.copper!.high).toBeLessThanOrEqual(1 + 1e-12);
		expect(recovery.copper!.high).toBeLessThanOrEqual(1 + 1e-12);
		expect(account.warnings.map(({ message }) => message)).toContain(
			'The other measurements leave more metal for concentrate than it weighs; it is held at its weight. Check the grades that disagree.',
		);
	});

	test('weights that contradict each other a thousandfold still give figures and the warning', () => {
		const products = whole.products.map((product) => ({ ...product, dryMassKg: { value: 900, u: 0.03 } }));
		const { account } = accountRun({ ...whole, feed: { dryMassKg: { value: 1, u: 0.3 } }, products });
		expect(account.warnings.map(({ code }) => code)).toContain('balance-does-not-close');
		for (const { dryMassKg } of account.products) {
			expect(Number.isFinite(dryMassKg.reconciled!.high)).toBe(true);
			// a slip of units is no farther off
			expect(dryMassKg.reconciled!.high).toBeLessThan(1.01e6);
		}
	});

	test('a bin for which the weights leave nothing is told of once, not by component', () => {
		const heavy = whole.products.map((product) =>
			product.id === 'concentrate' ? { ...product, dryMassKg: { value: 90, u: 0.001 } } : product,
		);
		const { account } = accountRun({ ...whole, feed: { dryMassKg: { value: 1, u: 0.001 } }, products: heavy });
		const held = account.warnings.filter(({ code }) => code === 'held-at-nothing');
		expect(held.filter(({ products }) => products?.includes('tailings')).map(({ message }) => message)).toEqual([
			'The other weights leave less than nothing for tailings; it is held at nothing. Check the weights that disagree.',
		]);
	});

	const graded = (id: string, copper: number, massKg?: number) => ({
		id,
		name: id,
		role: 'tailings' as const,
		...(massKg === undefined ? {} : { dryMassKg: { value: massKg, u: 0.01 } }),
		grade: { copper: { value: copper, u: 0.01 } },
	});

	test.each([0.19, 0.2, 0.21])(
		'a bin at %d of copper, as good as its feed, has no weight where neither was weighed',
		(copper) => {
			const accountOf = (grade: number) =>
				accountRun({
					...without(whole, 'feed'),
					feed: { grade: { copper: { value: 0.2, u: 0.005 } } },
					products: [graded('rich', 0.92, 2.1), graded('unweighed', grade)],
				}).account;
			// far from it, it is told by the feed's grade: 2.1 kg x (0.92 - 0.2) / (0.2 - 0.05)
			expect(accountOf(0.05).products[1]!.dryMassKg.reconciled!.value).toBeCloseTo(10.08, 9);
			const { products, feed, warnings, probability } = accountOf(copper);
			const [rich, unweighed] = products;
			expect(unweighed!.dryMassKg).toEqual({});
			expect(unweighed!.massFraction.reconciled.copper!.value).toBe(copper);
			expect(feed.dryMassKg).toEqual({});
			// nothing is claimed of the others by it either
			expect([rich!.recovery, rich!.yieldFraction, probability]).toEqual([{}, undefined, undefined]);
			expect(rich!.dryMassKg.reconciled!.value).toBeCloseTo(2.1, 12);
			expect(warnings.map(({ message }) => message)).toEqual([
				'unweighed has no weight and nothing else gives it, so its yield and all recoveries stay unknown; grades stand. Weigh it, or remove it if the table has no such bin.',
			]);
		},
	);

	test.each([
		[0.11, 0.12],
		[0.115, 0.116],
		[0.117, 0.12],
		[0.11, 0.112],
	])(
		'two bins at %d and %d of copper hold together what a weighed feed leaves them, and each may hold all of it',
		(a, b) => {
			const { products, feed, warnings } = accountRun({
				...without(whole, 'feed'),
				feed: { dryMassKg: { value: 20, u: 0.05 }, grade: { copper: { value: 0.2, u: 0.005 } } },
				products: [graded('rich', 0.92, 2.1), graded('first', a), graded('second', b)],
			}).account;
			const [rich, ...others] = products;
			expect(feed.dryMassKg.reconciled!.low).toBeGreaterThan(19.8);
			expect(feed.dryMassKg.reconciled!.high).toBeLessThan(20.2);
			expect(rich!.dryMassKg.reconciled!.low).toBeGreaterThan(2.07);
			for (const { dryMassKg, yieldFraction, name } of others) {
				expect(dryMassKg.reconciled!.low).toBeGreaterThanOrEqual(0);
				expect(dryMassKg.reconciled!.low).toBeLessThan(0.1);
				expect(dryMassKg.reconciled!.high).toBeGreaterThan(17.8);
				expect(dryMassKg.reconciled!.high).toBeLessThan(18.1);
				expect(yieldFraction!.high).toBeLessThan(0.91);
				expect(warnings.find(({ products }) => products?.includes(name))!.message).toMatch(
					/That hardly tells its weight: it is 18 kg at most\. Weigh it\.$/,
				);
			}
		},
	);

	test('bins that are known hold no more than the feed, however many others are not', () => {
		const feed = { dryMassKg: { value: 48.7, u: 0.05 }, grade: { copper: { value: 0.03, u: 0.0005 } } };
		const products = whole.products.map((product) => {
			const { dryMassKg: _, gradeDraws: __, ...bare } = product;
			return product.id === 'concentrate' ? product : bare;
		});
		const unknown = { id: 'second', name: 'second', role: 'tailings' as const };
		const { account } = accountRun({ ...whole, feed, products: [...products, unknown] });
		const { recovery, yieldFraction } = account.products[0]!;
		expect(recovery.copper!.high).toBeLessThanOrEqual(1 + 1e-9);
		expect(yieldFraction!.high).toBeLessThanOrEqual(1 + 1e-9);
		expect(account.warnings.map(({ message }) => message)).toContain(
			'The bins whose content is known hold more copper than the feed, so none is left for the others. Check the grades that disagree.',
		);
	});

	test('a stated loss that nobody graded leaves limits of recovery and says why', () => {
		const loss = { statedLoss: { dryMassKg: { value: 0.5, u: 0.05 } } };
		const { account } = accountRun({ ...whole, ...loss });
		expect(account.products[0]!.recovery).toEqual({});
		expect(account.products[0]!.recoveryBounds!.copper!.low).toBeLessThan(
			account.products[0]!.recoveryBounds!.copper!.high,
		);
		expect(account.warnings.map(({ code }) => code)).toContain('loss-ungraded');
		// with the feed's grade it is worked out
		const { feed, ...rest } = assayed([2.1, 3.4, 42.7]);
		expect(codes({ ...rest, ...loss, feed: feed! })).not.toContain('loss-ungraded');
	});

	test('copper that the feed does not leave for an unseen product is held at nothing', () => {
		const feed = { dryMassKg: { value: 48.7, u: 0.1 }, grade: { copper: { value: 0.03, u: 0.0005 } } };
		const { account } = accountRun({ ...changed('middlings', ['gradeDraws']), feed });
		expect(account.products[1]!.massFraction.reconciled.copper!.value).toBe(0);
		expect(account.products[1]!.massFraction.reconciled.copper!.low).toBe(0);
		expect(account.warnings.map(({ code }) => code)).toContain('held-at-nothing');
	});
});

test.each([
	['weighed as nothing', { dryMassKg: { value: 0, u: 0.3 } }],
	['not weighed', {}],
])('a bin %s is taken below nothing by no weights that disagree', (_, nothing) => {
	const bin = (id: string, rest: object) => ({ id, name: id, role: 'tailings', ...rest }) as const;
	const { account } = accountRun({
		runId: 'run',
		seed: 1,
		drawCount: 400,
		feed: { dryMassKg: { value: 25, u: 0.03 } },
		products: [
			bin('heavy', { dryMassKg: { value: 40, u: 0.3 } }),
			bin('light', { dryMassKg: { value: 1.2, u: 0.01 } }),
			bin('empty', nothing),
		],
	});
	for (const { dryMassKg, yieldFraction } of account.products) {
		expect(dryMassKg.reconciled!.low).toBeGreaterThanOrEqual(0);
		expect(yieldFraction!.low).toBeGreaterThanOrEqual(0);
		expect(yieldFraction!.high).toBeLessThanOrEqual(1);
	}
	expect(account.products[2]!.dryMassKg.reconciled!.value).toBe(0);
	const told = account.warnings.find(({ code }) => code === 'held-at-nothing');
	expect(told?.message).toContain('The other weights leave less than nothing for empty');
});

test('bins that weigh more than the feed are named before all are weighed', () => {
	const bin = (id: string, massKg?: number) => {
		const weighed = massKg === undefined ? {} : { dryMassKg: { value: massKg, u: 0.03 } };
		return { id, name: id, role: 'tailings', ...weighed } as const;
	};
	const told = (first: number, second?: number) =>
		accountRun({
			runId: 'run',
			seed: 1,
			drawCount: 400,
			feed: { dryMassKg: { value: 25, u: 0.03 } },
			products: [bin('first', first), bin('second', second), bin('third'), bin('fourth')],
		})
			.account.warnings.filter(({ code }) => code === 'heavier-than-feed')
			.map(({ message }) => message);
	expect(told(31)).toEqual(['first weighs more (31 kg) than the feed (25 kg). Check both weights.']);
	expect(told(20, 6)).toEqual([
		'first and second together weigh more (26 kg) than the feed (25 kg). Check the weights.',
	]);
	expect(told(20, 5)).toEqual([]);
});

test('what is below its detection limit stays marked through the balance', () => {
	const products = whole.products.map((product) =>
		product.id === 'tailings'
			? { ...product, massFraction: { copper: { value: 0.006, low: 0, high: 0.01, belowDetectionLimit: true } } }
			: product,
	);
	const tailings = accountRun({ ...whole, products }).account.products[2]!;
	expect(tailings.massFraction.reconciled.copper).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(tailings.recovery.copper).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(tailings.recovery.insulation!.belowDetectionLimit).toBeUndefined();
});

test('free copper is recovered beside all copper', () => {
	const products = whole.products.map((product) => ({
		...product,
		freeCopperDraws: product.gradeDraws!.copper.map((share) => share * (product.id === 'tailings' ? 0.3 : 0.95)),
	}));
	const { account } = accountRun({ ...whole, products });
	const [concentrate, , tailings] = account.products;
	expect(concentrate!.recovery.freeCopper!.value).toBeGreaterThan(concentrate!.recovery.copper!.value);
	expect(tailings!.recovery.freeCopper!.value).toBeLessThan(tailings!.recovery.copper!.value);
	const sum = account.products.reduce((total, { recovery }) => total + recovery.freeCopper!.value, 0);
	expect(sum).toBeCloseTo(1, 12);
});

import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import type { ProductInput } from '@/lib/balance/accountInput';
import { type ComparableRun, compareRuns } from '@/lib/balance/compareRuns';
import { productCeiling } from '@/lib/balance/detectionCeiling';
import { drawSplit } from '@/lib/balance/rerunAssumed';
import { COMPONENTS, GRADED } from '@/lib/material/classes';
import { chanceOfImprovement, printPoints } from '@/lib/report/compareSentences';
import { flowDiagramOf } from '@/lib/report/flowDiagram';
import { metalSentence, tailingsText } from '@/lib/report/moneySentences';
import { rerunSentences } from '@/lib/report/rerunSentences';
import { accountCsv, comparisonCsv } from '@/lib/report/runTables';
import { toldComparisons } from '@/lib/report/toldComparison';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { rerunAccountOf } from '@/lib/value/rerunAccount';
import { valueOfRun } from '@/lib/value/runValue';
import { madeUpRun, TRUE_PRODUCTS } from './madeUpRun';

/** Three pieces in a hundred: far above what the tailings' draws of copper reach. */
const LIMIT = 0.03;

/** The made-up run with copper below detection in the products named. */
function withoutCopper(ids: readonly string[], name = 'run', limit = LIMIT): ComparableRun {
	const run = madeUpRun(500);
	const copper = { value: 0.004, low: 0, high: limit, belowDetectionLimit: true };
	const products = run.products.map((product) =>
		ids.includes(product.id) ? { ...product, massFraction: { copper } } : product,
	);
	return { name, ...accountRun({ ...run, runId: name, products }) };
}

const massKg = (id: string) => TRUE_PRODUCTS.find((product) => product.id === id)!.massKg;
const copperKg = (id: string) => massKg(id) * TRUE_PRODUCTS.find((product) => product.id === id)!.shares[0]!;

test('every figure that rests on a grade below detection is a limit, and one that the limit of the grade allows', () => {
	const { account } = withoutCopper(['tailings']);
	const tailings = account.products[2]!;
	const grade = tailings.massFraction.reconciled.copper!;
	expect(grade).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(grade.high).toBeGreaterThanOrEqual(LIMIT);
	expect(grade.high).toBeLessThan(1.02 * LIMIT);
	// as much copper as the limit allows would have come in with the feed as well
	const mostKg = LIMIT * massKg('tailings');
	const fedKg = mostKg + copperKg('concentrate') + copperKg('middlings');
	const feedKg = TRUE_PRODUCTS.reduce((sum, product) => sum + product.massKg, 0);
	const { recovery, upgradeRatio } = tailings;
	expect(recovery.copper).toMatchObject({ low: 0, belowDetectionLimit: true });
	// masses and the other grades scatter by some per cent
	expect(recovery.copper!.high / (mostKg / fedKg)).toBeGreaterThan(0.97);
	expect(recovery.copper!.high / (mostKg / fedKg)).toBeLessThan(1.15);
	expect(upgradeRatio.copper).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(upgradeRatio.copper!.high / (LIMIT / (fedKg / feedKg))).toBeGreaterThan(0.97);
	expect(upgradeRatio.copper!.high / (LIMIT / (fedKg / feedKg))).toBeLessThan(1.15);
	expect(account.together.tailings).toMatchObject({ recovery: { copper: recovery.copper } });
	// what was detected stays a figure
	const flagged = GRADED.filter((component) => tailings.recovery[component]?.belowDetectionLimit);
	expect(flagged).toEqual(['copper']);
	expect(account.products[0]!.recovery.copper!.belowDetectionLimit).toBeUndefined();
	expect(account.feed.massFraction.reconciled.copper!.belowDetectionLimit).toBeUndefined();
});

test('a feed none of whose products shows copper is below detection as well, up to all their limits', () => {
	const { account } = withoutCopper(['concentrate', 'middlings', 'tailings']);
	const feed = account.feed.massFraction.reconciled;
	expect(feed.copper).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(feed.copper!.high).toBeGreaterThanOrEqual(LIMIT);
	expect(COMPONENTS.filter((component) => feed[component]!.belowDetectionLimit)).toEqual(['copper']);
});

test('what products may hold below their limits of detection does not rise together, and is the same whenever asked', () => {
	const run = withoutCopper(['concentrate', 'middlings', 'tailings']);
	const most = (id: string) => productCeiling(run, id).massFraction.copper!.draws;
	const [first, second] = [most('middlings'), most('tailings')];
	const reaching = (shares: Float64Array) => [...shares.keys()].filter((i) => shares[i]! > 0.8 * LIMIT);
	// a fifth of each reaches so far: by chance a fifth of these in both
	const both = reaching(first).filter((i) => reaching(second).includes(i)).length;
	expect(reaching(first).length).toBeGreaterThan(90);
	expect(both / reaching(first).length).toBeGreaterThan(0.1);
	expect(both / reaching(first).length).toBeLessThan(0.35);
	expect(most('tailings')).toEqual(second);
	// nor with those of another run
	const other = productCeiling(withoutCopper(['tailings'], 'other run'), 'tailings').massFraction.copper!.draws;
	expect(reaching(other)).not.toEqual(reaching(second));
});

test('free copper of a feed is no surer than its copper where one bin was only looked at by another way', () => {
	const run = madeUpRun(500);
	const below = { value: 0.3, low: 0, high: 0.9, belowDetectionLimit: true };
	const products = run.products.map(({ gradeDraws, ...product }) =>
		product.id === 'tailings'
			? { ...product, grade: { copper: { value: 0.3, u: 0.25 } }, massFraction: { copper: below } }
			: {
					...product,
					gradeDraws: gradeDraws!,
					freeCopperDraws: gradeDraws!.copper.map((share) => 0.9 * share),
					massFraction: { copper: below, freeCopper: below },
				},
	);
	const { account } = accountRun({ ...run, products });
	const { copper, freeCopper } = account.feed.massFraction.reconciled;
	expect(copper).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(freeCopper).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(freeCopper!.high).toBeLessThanOrEqual(1);
});

test('a limit of all there is leaves no draw above all there is', () => {
	const run = withoutCopper(['tailings'], 'run', 1);
	const copper = productCeiling(run, 'tailings').massFraction.copper!;
	expect(Math.max(...copper.draws)).toBe(1);
	expect(run.account.products[2]!.massFraction.reconciled.copper!.high).toBe(1);
});

test('what other bins may hold below detection bears on recovery, feed grade and money, and nothing is claimed past it', () => {
	const [plain, run] = [withoutCopper([]), withoutCopper(['tailings'])];
	const [was, now] = [plain, run].map(({ account }) => account.together.concentrate!.recovery.copper!);
	const { account, draws } = run;
	// as much more copper in the feed as the tailings' limit leaves open, in none of the bins that were won
	const fedKg = TRUE_PRODUCTS.reduce((sum, { id }) => sum + copperKg(id), 0);
	const leastRatio = fedKg / (fedKg - copperKg('tailings') + LIMIT * massKg('tailings'));
	expect(now!.value).toBe(was!.value);
	// nor need the tailings hold what was drawn of them
	const mostRatio = fedKg / (fedKg - copperKg('tailings'));
	expect(now!.high).toBeGreaterThan((was!.high * (2 + mostRatio)) / 3);
	expect(now!.high).toBeLessThan(was!.high * mostRatio);
	expect(account.feed.massFraction.reconciled.copper!.low).toBeLessThan(
		0.97 * plain.account.feed.massFraction.reconciled.copper!.low,
	);
	expect(now!.low).toBeLessThan((was!.value * (1 + leastRatio)) / 2);
	expect(now!.low).toBeGreaterThan(was!.low * leastRatio * 0.9);
	expect(account.products[0]!.recovery.copper).toEqual(now);
	expect(account.feed.massFraction.reconciled.copper!.high).toBeGreaterThan(
		1.2 * plain.account.feed.massFraction.reconciled.copper!.high,
	);
	const band = flowDiagramOf(account, draws, 'copper').bands.find(({ id }) => id === 'concentrate')!;
	expect(band.shareOfFeed).toEqual(now);
	const sheet = priceSheetSchema.parse({ deckside: 'prices/1', metals: {} });
	expect(valueOfRun(run, sheet).copperInWaste).toEqual(account.feed.massFraction.reconciled.copper);
});

test('limits of a recovery that is not determined leave room for what other bins may hold below detection', () => {
	const limitsOf = (massFraction: ProductInput['massFraction']) => {
		const run = madeUpRun(500);
		const products = run.products.map(({ gradeDraws, ...product }) => {
			if (product.id === 'middlings') return product;
			const limited = product.id === 'tailings' && massFraction !== undefined ? { massFraction } : {};
			return { ...product, gradeDraws: gradeDraws!, ...limited };
		});
		return accountRun({ ...run, products }).account.products[0]!;
	};
	const copper = { value: 0.004, low: 0, high: LIMIT, belowDetectionLimit: true };
	const [was, now] = [limitsOf({}), limitsOf({ copper })];
	// middlings without a photo may be all copper, and the tailings hold what their limit leaves open
	const least = copperKg('concentrate') / (copperKg('concentrate') + massKg('middlings') + LIMIT * massKg('tailings'));
	const [before, after] = [was, now].map(({ recoveryBounds }) => recoveryBounds!.copper!);
	expect(after!.low / least).toBeGreaterThan(0.95);
	expect(after!.low / least).toBeLessThan(1.05);
	expect(before!.low).toBeGreaterThan(1.1 * least);
	expect(after!.high).toBe(before!.high);
	const leastAmong = copperKg('concentrate') / (copperKg('concentrate') + LIMIT * massKg('tailings'));
	const among = now.recoveryAmongGraded!.copper!;
	expect(among.low / leastAmong).toBeGreaterThan(0.9);
	expect(among.low / leastAmong).toBeLessThan(1.05);
	expect(among.value).toBe(was.recoveryAmongGraded!.copper!.value);
});

test('a run is not said to recover more copper than one whose tailings may hold as much below detection', () => {
	const more = madeUpRun(500);
	const products = more.products.map((product) => ({
		...product,
		dryMassKg: { ...product.dryMassKg!, value: product.dryMassKg!.value * (product.id === 'concentrate' ? 1.6 : 1) },
	}));
	const { feed: _, ...unfed } = more;
	const richer = { name: 'richer', ...accountRun({ ...unfed, runId: 'richer', products }) };
	const recoveredOf = (base: ComparableRun, other: ComparableRun) => compareRuns([base, other])[0]!.differences[0]!;
	expect(recoveredOf(withoutCopper([]), richer).isClear).toBe(true);
	const limited = products.map((product) =>
		product.id === 'tailings'
			? { ...product, massFraction: { copper: { value: 0.004, low: 0, high: LIMIT, belowDetectionLimit: true } } }
			: product,
	);
	const doubtful = { name: 'doubtful', ...accountRun({ ...unfed, runId: 'richer', products: limited }) };
	const { isClear, difference, other, probabilityBetter } = recoveredOf(withoutCopper([]), doubtful);
	expect(isClear).toBe(false);
	expect(difference.belowDetectionLimit).toBeUndefined();
	expect(other).toEqual(doubtful.account.together.concentrate!.recovery.copper);
	expect(probabilityBetter).toBeLessThan(0.975);
});

test('flow and money tell the copper of tailings below detection as a limit', () => {
	const run = withoutCopper(['tailings']);
	const band = flowDiagramOf(run.account, run.draws, 'copper').bands.find(({ id }) => id === 'tailings')!;
	expect(band.shareOfFeed).toEqual(run.account.products[2]!.recovery.copper);
	expect(band.amountKg).toMatchObject({ low: 0, belowDetectionLimit: true });
	expect(band.amountKg.high).toBeGreaterThanOrEqual(0.99 * LIMIT * massKg('tailings'));
	const sheet = priceSheetSchema.parse({ deckside: 'prices/1', metals: {} });
	expect(tailingsText(valueOfRun(run, sheet), 't')).toMatch(
		/^below detection, under [\d.]+\u00a0kg per tonne of waste$/,
	);
	const none = withoutCopper(['concentrate', 'middlings', 'tailings']);
	expect(metalSentence(valueOfRun(none, sheet), 't')).toMatch(
		/^The copper in the dry waste is below detection \(under [\d.]+\u00a0%\): under \d+ lb per short ton, under [\d.]+ kg/,
	);
});

test('runs whose tailings are below detection differ by a range, without a middle and without a chance', () => {
	const [base, one, both] = [[], ['tailings'], ['tailings']].map((ids, k) => withoutCopper(ids, `run ${k}`));
	const lost = (first: ComparableRun, second: ComparableRun) =>
		compareRuns([first, second])[0]!.differences.find(
			({ stream, figure, component }) => stream === 'tailings' && figure === 'grade' && component === 'copper',
		)!;
	const half = lost(base!, one!);
	// the second may hold up to its limit, the first what was seen of it
	expect(half.difference.high).toBeGreaterThan(LIMIT - half.base.high);
	expect(half.probabilityHigher).toBeDefined();
	const neither = lost(one!, both!);
	expect(neither).toMatchObject({ isClear: false, difference: { belowDetectionLimit: true } });
	expect(neither.probabilityHigher).toBeUndefined();
	expect(chanceOfImprovement(neither)).toBe('');
	expect(printPoints(neither.difference)).toMatch(/^between −\d\.?\d* and \+\d\.?\d* points$/);
});

test('tables leave the value of what is below detection empty and say why', () => {
	const runs = [withoutCopper(['tailings'], 'run 1'), withoutCopper(['tailings'], 'run 2')];
	const [head, ...lines] = accountCsv(runs[0]!.account).split('\r\n');
	const cells = lines.find((line) => line.startsWith('tailings'))!.split(',');
	const at = (column: string) => cells[head!.split(',').indexOf(column)];
	for (const figure of ['grade measured', 'grade reconciled', 'recovery']) {
		expect(at(`copper ${figure} fraction`)).toBe('');
		expect(at(`copper ${figure} fraction low`)).toBe('0');
		expect(Number(at(`copper ${figure} fraction high`))).toBeGreaterThan(0.02);
	}
	expect(lines.join(' ')).toContain('is below detection: it is less than its high end');
	const compared = comparisonCsv(toldComparisons(runs, undefined)).split('\r\n');
	expect(compared.find((line) => line.includes('Tailings: copper grade'))).toMatch(/grade,,0,0\.03\d*,,0,0\.03\d*,,-0/);
	expect(compared.join(' ')).toContain('is below detection: it is less than its high end');
});

test('a rerun of middlings whose copper is below detection wins up to what their limit leaves open', () => {
	// far above what the middlings' draws of copper reach
	const limit = 0.6;
	const run = withoutCopper(['middlings'], 'run', limit);
	const share = (value: number) => ({ value, u: 0 });
	const split = drawSplit(
		{
			copperToConcentrate: share(0.5),
			copperToMiddlings: share(0),
			restToConcentrate: share(0),
			restToMiddlings: share(0),
		},
		run.account.drawCount,
		20,
	);
	const { passes, stock } = rerunAccountOf(run, split, { batchKg: 25 })!;
	const [kept, once] = passes;
	const mostKg = limit * massKg('middlings');
	const fedKg = copperKg('concentrate') + mostKg + copperKg('tailings');
	// half of it is won, and all of it would have come in with the feed; masses and grades scatter by some per cent
	const most = (copperKg('concentrate') + 0.5 * mostKg) / fedKg;
	expect(once!.recovery!.high / most).toBeGreaterThan(0.97);
	expect(kept!.recovery!.low).toBeLessThanOrEqual((1.05 * copperKg('concentrate')) / fedKg);
	expect(once!.recovery!.low).toBeLessThanOrEqual(once!.recovery!.value);
	// the stock's copper is a limit, not a figure
	expect(stock!.copperFraction.belowDetectionLimit).toBe(true);
	const told = rerunSentences({ passes, stock: stock! }, priceSheetSchema.parse({ deckside: 'prices/1' })).at(-2);
	expect(told).toMatch(/holds under 16\skg of copper\./);
});

test('what aluminium below detection may bring, or cost, once its middlings are fed again is left open', () => {
	const run = madeUpRun(500);
	const products = run.products.map((product) =>
		product.id === 'middlings'
			? { ...product, massFraction: { aluminium: { value: 0.1, low: 0, high: 0.4, belowDetectionLimit: true } } }
			: product,
	);
	const [known, below] = [run, { ...run, products }].map(accountRun);
	const half = { value: 0.5, u: 0 };
	const rest = { restToConcentrate: half, restToMiddlings: { value: 0.2, u: 0 } };
	const split = drawSplit({ copperToConcentrate: half, copperToMiddlings: half, ...rest }, 500, 20);
	const money = (amount: number) => ({ amount, currency: 'EUR', per: 'kg' });
	const price = (amount: number) => ({ price: money(amount), date: '2026-05-31', note: 'made up', payable: 1 });
	const gain = (one: ReturnType<typeof accountRun>, entered: object) =>
		rerunAccountOf(one, split, { sheet: priceSheetSchema.parse({ deckside: 'prices/1', ...entered }) })!.value!;
	const paid = { metals: { copper: price(6), aluminium: price(2) } };
	const charged = {
		metals: { copper: price(6) },
		penalties: [{ component: 'aluminium', above: 0, perPoint: money(0.02) }],
	};
	// 0.4 of the middlings, half of it won, at 2 each
	const mostPerKg = (0.4 * 0.5 * 2 * massKg('middlings')) / 49;
	expect(gain(below!, paid).gainPerKg.high - gain(known!, paid).gainPerKg.high).toBeGreaterThan(0.4 * mostPerKg);
	const [paidKnown, paidBelow] = [known!, below!].map((one) => gain(one, paid).gainPerKg.low);
	// or nothing of the tenth that was drawn
	expect(paidBelow).toBeLessThan(paidKnown! - 0.02 * mostPerKg);
	expect(paidBelow).toBeGreaterThan(paidKnown! - 0.25 * mostPerKg);
	expect(gain(below!, charged).gainPerKg.low).toBeLessThan(gain(known!, charged).gainPerKg.low - 0.4 * mostPerKg);
});

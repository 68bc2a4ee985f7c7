import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import { FLOWS, flowDiagramOf } from '@/lib/report/flowDiagram';
import { madeUpRun } from '../balance/madeUpRun';

test.each(FLOWS)('%s: bands together are as wide as the feed, and bins hold what was fed', (flow) => {
	const { account, draws } = accountRun(madeUpRun());
	const { bands, feedHeight, feedKg, notKnown } = flowDiagramOf(account, draws, flow);
	expect(notKnown).toEqual([]);
	expect(bands.reduce((sum, { height }) => sum + height, 0)).toBeCloseTo(feedHeight, 9);
	expect(bands.reduce((sum, { amountKg }) => sum + amountKg.value, 0)).toBeCloseTo(feedKg!.value, 9);
});

test('where the feed is not determined, no share of what is known reaches past the whole', () => {
	const run = madeUpRun(300);
	const [first, ...others] = run.products.map(({ gradeDraws: _, ...bare }, p) => (p === 0 ? run.products[0]! : bare));
	const { account, draws } = accountRun({ ...run, products: [first!, ...others] });
	const [band] = flowDiagramOf(account, draws, 'copper').bands;
	expect(band!.shareOfFeed).toEqual({ value: 1, low: 1, high: 1 });
});

test('bands leave the feed one below the other, and no bin or text lies on another', () => {
	const { account, draws } = accountRun(madeUpRun());
	const { bands, height, feedY } = flowDiagramOf(account, draws, 'copper');
	let from = feedY;
	let [toEnd, labelEnd] = [0, 0];
	for (const band of bands) {
		expect(band.fromY).toBeCloseTo(from, 9);
		from += band.height;
		expect(band.toY).toBeGreaterThanOrEqual(toEnd);
		expect(band.labelY).toBeGreaterThanOrEqual(labelEnd);
		[toEnd, labelEnd] = [band.toY + band.height, band.labelY + 58];
	}
	expect(Math.max(toEnd, labelEnd)).toBeLessThanOrEqual(height + 1e-9);
});

test('a bin without a grade is named and not drawn; the others still are', () => {
	const run = madeUpRun();
	const [first, ...rest] = run.products;
	const { gradeDraws: _, ...ungraded } = first!;
	const { account, draws } = accountRun({ ...run, products: [ungraded, ...rest] });
	const { bands, notKnown } = flowDiagramOf(account, draws, 'copper');
	expect(notKnown).toEqual(['concentrate']);
	expect(bands.map(({ name }) => name)).toEqual(['middlings', 'tailings']);
	expect(flowDiagramOf(account, draws, 'mass').notKnown).toEqual([]);
});

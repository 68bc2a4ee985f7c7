import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { workOutRun } from '@/lib/balance/gradedRun';
import { measuredDryMass } from '@/lib/balance/measuredMass';
import { runFileSchema } from '@/lib/report/runFile';
import { madeMaterial, madeRates } from '../grade/madeReading';

test('a dry mass told without the account is the very one that the account tells, digit by digit', () => {
	const file = runFileSchema.parse(JSON.parse(readFileSync('demo-images/run.json', 'utf8')));
	const { feed, scales } = file;
	const products = file.products.map(({ name, role, weighing }) => ({ id: name, name, role, weighing, spreads: [] }));
	const run = { runId: file.name, feed: { weighing: feed!.weighing! }, products, scales: scales! };
	const { account } = workOutRun(
		{ ...run, products: products.map(({ weighing, ...rest }) => ({ ...rest, weighing: weighing! })) },
		madeMaterial({ density: 0.03, factor: 0.2 }),
		madeRates(0.01, 0.3),
	);
	expect(measuredDryMass(feed!.weighing!, { runId: file.name, key: 'feed', scales })).toEqual(
		account.feed.dryMassKg.measured,
	);
	// asked for again it is the same, and of another run or scale another
	const feedOf = (runId: string, by?: typeof scales) =>
		measuredDryMass(feed!.weighing!, { runId, key: 'feed', ...(by && { scales: by }) });
	expect(feedOf(file.name, scales)).toEqual(account.feed.dryMassKg.measured);
	expect(feedOf('Another run', scales)).not.toEqual(account.feed.dryMassKg.measured);
	expect(feedOf(file.name, { [feed!.weighing!.scale!]: 0.2 })).not.toEqual(account.feed.dryMassKg.measured);
	for (const { id, weighing } of products)
		expect(measuredDryMass(weighing!, { runId: file.name, key: `product:${id}`, scales })).toEqual(
			account.products.find((product) => product.id === id)?.dryMassKg.measured,
		);
});

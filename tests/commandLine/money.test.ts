import { execFile } from 'node:child_process';
import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { beforeAll, expect, test } from 'vitest';

function grade(...given: string[]): Promise<{ status: number; output: string; complaint: string }> {
	return new Promise((resolve) => {
		execFile(
			process.execPath,
			['--import', 'tsx', 'app/_command/grade.ts', ...given],
			{ maxBuffer: 1 << 26 },
			(error, output, complaint) => resolve({ status: error === null ? 0 : Number(error.code), output, complaint }),
		);
	});
}

let [run, folder] = ['', ''];
beforeAll(async () => {
	folder = await mkdtemp(path.join(tmpdir(), 'deckside-'));
	run = path.join(folder, 'run.json');
	const bin = (name: string, role: string, gross: string, photo: string) => ({
		name,
		role,
		weighing: { gross, resolution: '0.01 kg' },
		photos: [path.resolve('demo-images', photo)],
	});
	const products = [
		bin('Concentrate', 'concentrate', '4.3 kg', 'dev-run-conc2-tray1.jpg'),
		bin('Middlings', 'middlings', '1.0 kg', 'dev-run-middlings-tray1.jpg'),
		bin('Tailings', 'tailings', '3.0 kg', 'dev-run-tailings-tray1.jpg'),
	];
	await writeFile(run, JSON.stringify({ deckside: 'run/1', name: 'Run 1', products }));
});

test('a run is valued at the prices of a file, and so is feeding its middlings again', async () => {
	const { status, output } = await grade(
		'--json',
		'--method',
		'threshold',
		'--run',
		run,
		'--prices',
		'demo-images/prices.json',
		'--rerun',
		'own',
		'--batch-kg',
		'25',
	);
	expect(status).toBe(0);
	const { money, products, rerun, together } = JSON.parse(output);
	const [concentrate] = products;
	const sum = money.lines.reduce((total: number, { perKg }: { perKg: { value: number } }) => total + perKg.value, 0);
	expect(money.marginPerKg.value).toBeCloseTo(sum, 9);
	const paidKg = 4.3 * (concentrate.reconciled.massFraction.copper.value - 0.01);
	const copperLine = money.lines.find(({ line }: { line: string }) => line === 'copper');
	expect(copperLine.perKg.value).toBeCloseTo(((paidKg / 8.3) * 4 * 0.8) / 0.45359237, 6);
	// own split: what the run recovered and sent to its middlings, as a closed series
	const [won, back] = [together.concentrate, together.middlings].map(({ recovery }) => recovery.copper.value);
	expect(rerun.passes.map(({ reruns }: { reruns: number | string }) => reruns)).toEqual([0, 1, 2, 3, 'steady']);
	expect(rerun.passes[1].recovery.value).toBeCloseTo(won + back * won, 9);
	expect(rerun.passes.at(-1).recovery.value).toBeCloseTo(won / (1 - back), 9);
	expect(rerun.value.probabilityPays).toBeGreaterThanOrEqual(0);
	expect(rerun.stock).toMatchObject({ batchKg: 25, worthPerKg: expect.closeTo((4 * 0.8) / 0.45359237, 6) });
});

test('prices in two currencies are refused by name', async () => {
	const prices = path.join(folder, 'prices.json');
	await writeFile(
		prices,
		JSON.stringify({
			deckside: 'prices/1',
			metals: {
				copper: {
					price: { amount: 4, currency: 'USD', per: 'lb' },
					date: '2026-05-12',
					note: 'invented',
					payable: 0.8,
				},
			},
			freight: { amount: 40, currency: 'EUR', per: 't' },
		}),
	);
	const { status, complaint } = await grade('--method', 'threshold', '--run', run, '--prices', prices);
	expect(status).toBe(1);
	expect(complaint).toContain('the price of copper in USD, freight in EUR');
});

test('prices without a run are refused with the use', async () => {
	const { status, complaint } = await grade('--prices', 'demo-images/prices.json', 'photo.jpg');
	expect(status).toBe(2);
	expect(complaint).toContain('--prices was given without --run');
});

import { execFile } from 'node:child_process';
import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { expect, test } from 'vitest';

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

const PICTURES = path.resolve('demo-images');

async function runFile(folder: string, name: string, tailingsKg: number, slope: number): Promise<string> {
	const file = path.join(folder, `${name}.json`);
	const bin = (bin: string, role: string, gross: number, photo: string) => ({
		name: bin,
		role,
		weighing: { gross: `${gross} kg`, resolution: '0.01 kg', scale: 'hanging scale' },
		photos: [path.join(PICTURES, photo)],
	});
	const products = [
		bin('Concentrate', 'concentrate', 4.3, 'dev-run-conc2-tray1.jpg'),
		bin('Tailings', 'tailings', tailingsKg, 'dev-run-tailings-tray1.jpg'),
	];
	const settings = { deckSlopeCrossDeg: slope, strokesPerMin: 290 };
	const scales = { 'hanging scale': 0.002 };
	await writeFile(file, JSON.stringify({ deckside: 'run/1', name, settings, scales, products }));
	return file;
}

test('two runs are compared: settings side by side, differences with ranges, and a sentence', async () => {
	const folder = await mkdtemp(path.join(tmpdir(), 'deckside-'));
	const files = [await runFile(folder, 'Run 1', 4.0, 4.5), await runFile(folder, 'Run 2', 5.0, 6)];
	const { status, output, complaint } = await grade(
		...['--compare', '--json', '--method', 'threshold', '--prices', 'demo-images/prices.json'],
		...files,
	);
	expect(complaint).toBe('');
	expect(status).toBe(0);
	const { runs, settings, comparisons } = JSON.parse(output);
	expect(runs).toHaveLength(2);
	expect(settings.filter((row: { differs: boolean }) => row.differs)).toEqual([
		{ label: 'Deck slope, across', values: ['4.5 degrees', '6 degrees'], differs: true, isNotedByAll: true },
	]);
	const [{ base, other, differences, sentences, worth }] = comparisons;
	expect(worth.perKg.value).toBeLessThan(0);
	expect([base, other]).toEqual(['Run 1', 'Run 2']);
	const yieldOf = differences.find(
		(line: { stream: string; figure: string }) => line.stream === 'concentrate' && line.figure === 'yield',
	);
	expect(yieldOf.difference.value).toBeCloseTo(4.3 / 9.3 - 4.3 / 8.3, 3);
	expect(yieldOf.isClear).toBe(true);
	expect(sentences.length).toBeGreaterThan(2);
});

test('a comparison of one file, or beside another kind of order, is refused with its use', async () => {
	const one = await grade('--compare', 'run.json');
	expect(one.status).toBe(2);
	expect(one.complaint).toContain('--compare needs two run files or more.');
	const both = await grade('--compare', 'a.json', 'b.json', '--run', 'c.json');
	expect(both.status).toBe(2);
	expect(both.complaint).toContain('together with --photos or --run');
});

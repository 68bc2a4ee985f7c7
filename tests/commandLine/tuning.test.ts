import { execFile } from 'node:child_process';
import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { readJsonFile } from '@/app/_command/readJsonFile';
import { runFileSchema } from '@/lib/report/runFile';

function grade(...given: string[]): Promise<{ status: number; output: string; complaint: string }> {
	return new Promise((resolve) => {
		execFile(
			process.execPath,
			['--import', 'tsx', 'app/_command/grade.ts', '--method', 'threshold', ...given],
			{ maxBuffer: 1 << 26 },
			(error, output, complaint) => resolve({ status: error === null ? 0 : Number(error.code), output, complaint }),
		);
	});
}

/** A run weighed and assayed, without a photo: quick, and its figures follow by hand. */
async function runFile(folder: string, k: number, settings: object, concentrateKg: number): Promise<string> {
	const file = path.join(folder, `run-${k}.json`);
	const bin = (name: string, role: string, grossKg: number, share: string) => ({
		name,
		role,
		weighing: { gross: `${grossKg.toFixed(2)} kg`, resolution: '0.01 kg' },
		checks: [{ kind: 'assay', share, u: '0.5 %' }],
	});
	const products = [
		bin('Concentrate', 'concentrate', concentrateKg, '95 %'),
		bin('Middlings', 'middlings', 1, '20 %'),
		bin('Tailings', 'tailings', 10 - concentrateKg, '1 %'),
	];
	const date = `2026-05-${10 + k}`;
	await writeFile(file, JSON.stringify({ deckside: 'run/1', name: `Run ${k}`, date, settings, products }));
	return file;
}

let folder = '';
let files: string[] = [];
beforeAll(async () => {
	folder = await mkdtemp(path.join(tmpdir(), 'deckside-'));
	const runs = [
		{ settings: { deckSlopeCrossDeg: 6 }, concentrateKg: 0.6 },
		{ settings: { deckSlopeCrossDeg: 4, firstAfterChange: true }, concentrateKg: 0.5 },
		{ settings: { deckSlopeCrossDeg: 4 }, concentrateKg: 0.5 },
	];
	files = await Promise.all(
		runs.map(({ settings, concentrateKg }, k) => runFile(folder, k + 1, settings, concentrateKg)),
	);
});

test('runs over time come by date, with what a setting did and the carry-over told', async () => {
	const { status, output, complaint } = await grade('--json', '--history', ...files.toReversed());
	expect(complaint).toBe('');
	expect(status).toBe(0);
	const { deckside, runs, effects } = JSON.parse(output);
	expect(deckside).toBe('history/1');
	expect(
		runs.map(({ name, firstAfterChange }: { name: string; firstAfterChange: boolean }) => [name, firstAfterChange]),
	).toEqual([
		['Run 1', false],
		['Run 2', true],
		['Run 3', false],
	]);
	const fed = (concentrate: number) => concentrate * 0.95 + 0.2 + (10 - concentrate) * 0.01;
	expect(runs[0].recovery.value).toBeCloseTo((0.6 * 0.95) / fed(0.6), 3);
	const [slope] = effects.recovery.effects;
	expect(slope.setting).toBe('Deck slope, across');
	const perDegree = ((0.6 * 0.95) / fed(0.6) - (0.5 * 0.95) / fed(0.5)) / 2;
	expect(slope.perUnit.value).toBeCloseTo(perDegree, 3);
});

test('a rerun of a run of which only copper is known is refused with what it needs', async () => {
	const split = path.join(folder, 'split.json');
	const share = (value: number) => ({ value, u: 0.001 });
	const both = { toConcentrate: share(0.5), toMiddlings: share(0.2) };
	await writeFile(split, JSON.stringify({ deckside: 'split/1', copper: both, rest: { ...both } }));
	const told = await grade('--json', '--run', files[0]!, '--rerun', split);
	expect(told.status).toBe(1);
	expect(told.complaint).toContain('must be graded in copper, aluminium, insulation and the rest');
});

test('a plan of runs lists every combination once, in an order that its seed gives again', async () => {
	const ask = ['--json', '--plan', 'deckSlopeCrossDeg=4:6', 'strokesPerMin=280:320', '--seed', '5'];
	const [once, again] = [await grade(...ask), await grade(...ask)];
	expect(once.status).toBe(0);
	expect(again.output).toBe(once.output);
	const { deckside, runs, settings, seed } = JSON.parse(once.output);
	expect([deckside, seed]).toEqual(['plan/1', 5]);
	expect(settings.map(({ name }: { name: string }) => name)).toEqual(['Deck slope, across', 'Strokes']);
	expect(new Set(runs.map(({ high }: { high: boolean[] }) => high.join())).size).toBe(4);
});

test('a plan of an unknown setting is refused', async () => {
	const unknown = await grade('--plan', 'tilt=4:6');
	expect(unknown.status).toBe(1);
	expect(unknown.complaint).toContain('tilt is no setting with two levels. Settings that can be planned: deckSlope');
});

test.each([
	['wettingAgent=none:soap', /^wettingAgent is no setting with two levels\. Settings that can be planned: [\w, ]+\.$/],
	[
		'strokesPerMin=280:280',
		/^No plan can be made\. Strokes has the same low and high level\. Give two levels that differ\.$/,
	],
])('a plan of %s says what is wrong with it and nothing else', async (word, complaint) => {
	expect((await grade('--plan', word)).complaint.trim()).toMatch(complaint);
});

test.each([
	['{ "deckside": "run/1",\n  "name": }', 'something is wrong in line 2, character 11'],
	['{ "deckside": "run/1", }', 'something is wrong in line 1, character 24'],
	['{ "deckside": "run', 'it ends before it is whole'],
	['{ "deckside": "run/1"', 'it ends before it is whole'],
	[' ', 'it is empty'],
])('a file that is no JSON is told in words, and where: %j', async (content, reason) => {
	const file = path.join(folder, 'slip.json');
	await writeFile(file, content);
	await expect(readJsonFile(file, 'run file', runFileSchema)).rejects.toThrow(
		new RegExp(`The run file .*slip\\.json is not JSON: ${reason}\\.$`),
	);
});

test('a file of another make, or one that lacks something, is refused in plain words', async () => {
	const made = async (content: unknown) => {
		const file = path.join(folder, 'odd.json');
		await writeFile(file, JSON.stringify(content));
		return readJsonFile(file, 'run file', runFileSchema);
	};
	await expect(made(null)).rejects.toThrow(/can't be used\. It is not a run file\.$/);
	await expect(made({ deckside: 'run/1', products: [{ name: 'C', role: 'concentrate' }] })).rejects.toThrow(
		/An entry is missing\. \(name\)$/,
	);
});

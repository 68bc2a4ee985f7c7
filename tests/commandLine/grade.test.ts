import { execFile } from 'node:child_process';
import { mkdtemp, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { beforeAll, expect, test } from 'vitest';
import { GRADED, MATERIAL_CLASSES } from '@/lib/material/classes';

interface Outcome {
	readonly status: number;
	readonly output: string;
	readonly complaint: string;
}

/** Run the command as README says, without npm around it. */
function grade(...given: string[]): Promise<Outcome> {
	return new Promise((resolve) => {
		execFile(
			process.execPath,
			['--import', 'tsx', 'app/_command/grade.ts', ...given],
			{ maxBuffer: 1 << 26 },
			(error, output, complaint) => resolve({ status: error === null ? 0 : Number(error.code), output, complaint }),
		);
	});
}

const PHOTO = 'demo-images/dev-run-conc2-tray1.jpg';
let folder: string;
beforeAll(async () => {
	folder = await mkdtemp(path.join(tmpdir(), 'deckside-'));
});

async function made(name: string, content: string | Uint8Array): Promise<string> {
	const file = path.join(folder, name);
	await writeFile(file, content);
	return file;
}

test('a mat that was printed smaller holds more pixels a millimetre', async () => {
	const photo = path.resolve(PHOTO);
	const list = await made('printed.json', JSON.stringify([{ photo }, { photo, printedScale: 0.9 }]));
	const { output } = await grade('--json', '--method', 'threshold', '--photos', list);
	const [whole, small] = JSON.parse(output).photos;
	expect(small.pxPerMm / whole.pxPerMm).toBeCloseTo(1 / 0.9, 9);
});

test('a photo of a spread is graded, and its class map has the size of the photo', async () => {
	const { status, output, complaint } = await grade('--json', '--method', 'threshold', '--class-map', folder, PHOTO);
	expect(complaint).toBe('');
	expect(status).toBe(0);
	const { photos, combined } = JSON.parse(output);
	const [photo] = photos;
	expect(photo).toMatchObject({ photo: PHOTO, surface: 'mat', widthPx: 2016, heightPx: 1512 });
	const truth = JSON.parse(await readFile(PHOTO.replace('.jpg', '.truth.json'), 'utf8'));
	expect(photo.pxPerMm).toBeCloseTo(truth.px_per_mm, 1);
	expect(Object.keys(photo.areaFraction)).toEqual([...MATERIAL_CLASSES]);
	expect(Object.keys(photo.massFraction)).toEqual([...GRADED]);
	for (const tables of [photo, combined]) {
		const { copper, aluminium, insulation, other, freeCopper } = tables.massFraction;
		expect(copper.value + aluminium.value + insulation.value + other.value).toBeCloseTo(1, 9);
		expect(freeCopper.value).toBeLessThanOrEqual(copper.value);
		expect(copper.low).toBeLessThanOrEqual(copper.value);
		expect(copper.high).toBeGreaterThanOrEqual(copper.value);
	}
	const map = sharp(path.join(folder, 'dev-run-conc2-tray1.png'));
	expect(await map.metadata()).toMatchObject({ width: 2016, height: 1512, channels: 1, depth: 'uchar' });
	const codes = new Set(await map.raw().toBuffer());
	for (const code of codes) expect([0, 1, 2, 3, 4, 5, 255]).toContain(code);
	expect(codes.size).toBeGreaterThan(3);
});

test('a plain tray is graded from corners in a file', async () => {
	const truth = JSON.parse(await readFile('demo-images/dev-clean-stainless-led.truth.json', 'utf8'));
	const list = await made(
		'photos.json',
		JSON.stringify([
			{
				photo: path.resolve('demo-images/dev-clean-stainless-led.jpg'),
				surface: 'tray',
				corners: truth.field_corners_px,
				fieldMm: truth.field_mm,
			},
		]),
	);
	const { status, output } = await grade('--json', '--method', 'threshold', '--photos', list);
	expect(status).toBe(0);
	expect(JSON.parse(output).photos[0]).toMatchObject({ surface: 'tray' });
	expect(JSON.parse(output).photos[0].pxPerMm).toBeCloseTo(truth.px_per_mm, 1);
});

test('a photo that can not be read is named with its reason, and the others are graded', async () => {
	const text = await made('note.jpg', 'this is a note, not a picture');
	const bare = await made(
		'bare.png',
		await sharp({ create: { width: 640, height: 480, channels: 3, background: '#888' } })
			.png()
			.toBuffer(),
	);
	const { status, output, complaint } = await grade(
		'--json',
		'--method',
		'threshold',
		text,
		PHOTO,
		bare,
		path.join(folder, 'absent.jpg'),
	);
	expect(status).toBe(1);
	expect(JSON.parse(output).photos.map(({ photo }: { photo: string }) => photo)).toEqual([PHOTO]);
	expect(complaint).toContain('note.jpg');
	expect(complaint).toMatch(/bare\.png: The spread mat was not found/);
	expect(complaint).toMatch(/absent\.jpg: .*can't be opened/);
	// of nothing that was read nothing is estimated
	expect(await grade('--method', 'threshold', text)).toMatchObject({ status: 1, output: '' });
});

test.each([
	[['--surface', 'table', PHOTO], /--surface table is not known/],
	[['--corners', '1,2,3', PHOTO], /--corners 1,2,3 can't be read\. Corners are four/],
	[['--field-mm', 'wide', PHOTO], /--field-mm wide can't be read/],
	[['--frobnicate', PHOTO], /^There is no option --frobnicate\. See/],
	[['--surface'], /^--surface needs a value after it\. See/],
	[['--explain', PHOTO], /--explain was given without --run/],
	[['--half', PHOTO], /--half was given without --plan/],
	[['--plan'], /No setting was named\. Name each with its two levels/],
	[[], /No photo was named/],
	[['--run', 'a.json', PHOTO], /Give one of the three/],
])('wrong use %j says what is wrong and ends with 2', async (given, sentence) => {
	const { status, output, complaint } = await grade(...given);
	expect(status).toBe(2);
	expect(output).toBe('');
	expect(complaint).toMatch(sentence);
});

test('a run is graded and balanced: nothing is lost between feed and bins', async () => {
	const run = JSON.parse(await readFile('demo-images/run.json', 'utf8'));
	for (const product of run.products)
		product.photos = product.photos.slice(0, 1).map((photo: string) => path.resolve('demo-images', photo));
	run.products[2].photos = []; // weighed and not photographed
	const file = await made('run.json', JSON.stringify(run));
	const { status, output, complaint } = await grade('--json', '--method', 'threshold', '--run', file);
	expect(complaint).toBe('');
	expect(status).toBe(0);
	const result = JSON.parse(output);
	expect(result.products).toHaveLength(4);
	expect(result.products[0].dryMassKg.value).toBeCloseTo(4.122, 2);
	const out = result.products.reduce(
		(sum: number, { reconciled }: { reconciled: { dryMassKg: { value: number } } }) => sum + reconciled.dryMassKg.value,
		0,
	);
	expect(out).toBeCloseTo(result.feed.dryMassKg.reconciled.value, 6);
	expect(result.closure.value).toBeCloseTo(0.994, 2);
	expect(result.degreesOfFreedom).toBe(1);
	expect(result.products[2].combined).toBeUndefined();
	expect(result.warnings[0].code).toBe('demonstration');
	expect(result.warnings.map(({ message }: { message: string }) => message).join(' ')).toContain('Middlings');
});

test.each([
	['tare above gross', { gross: '1 kg', tare: '2 kg' }],
	['nothing dry', { gross: '2 kg', moisture: { kind: 'fraction', fraction: '100 %' } }],
	['a word for a weight', { gross: 'heavy' }],
	['a negative weight', { gross: '-3 kg' }],
])('a run file with %s is refused with a sentence, and nothing is printed', async (_, weighing) => {
	const file = await made(
		'bad.json',
		JSON.stringify({ deckside: 'run/1', name: 'Bad', products: [{ name: 'Tailings', role: 'tailings', weighing }] }),
	);
	const { status, output, complaint } = await grade('--json', '--run', file);
	expect(status).toBe(1);
	expect(output).toBe('');
	expect(complaint.trim().length).toBeGreaterThan(30);
	expect(complaint).not.toMatch(/undefined|\[object|at .*\.ts/);
});

test('one picture given in two bins, or for two spreads of a bin, is told at both', async () => {
	const photo = path.resolve(PHOTO);
	const bin = (name: string, role: string, photos: readonly string[]) => ({ name, role, photos });
	const products = [bin('Heavy', 'concentrate', [photo, photo]), bin('Light', 'tailings', [photo])];
	const file = await made('twice.json', JSON.stringify({ deckside: 'run/1', name: 'twice', products }));
	const { output } = await grade('--json', '--method', 'threshold', '--run', file);
	const told = JSON.parse(output).products.map(
		({ photos }: { photos: { warnings: { code: string; message: string }[] }[] }) =>
			photos.map(({ warnings }) => warnings.find(({ code }) => code === 'same-picture')?.message),
	);
	const places = 'stands in Heavy, spread 1, and in Heavy, spread 2, and in Light, spread 1, so one bin is graded';
	expect(told[0][0]).toContain(places);
	expect(told[1][0]).toContain(places);
	const list = await grade('--json', '--method', 'threshold', PHOTO, PHOTO);
	for (const { warnings } of JSON.parse(list.output).photos)
		expect(warnings.map(({ message }: { message: string }) => message).join()).toContain('more scoops than were taken');
	const words = await grade('--method', 'threshold', '--run', file);
	expect(words.output).toContain(places);
});

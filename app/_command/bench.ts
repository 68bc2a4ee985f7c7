import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { batchHere, benchBatch } from './benchBatch';
import { benchDraws } from './benchDraws';
import { benchLive } from './benchLive';
import { benchPages } from './benchPages';
import { benchPhoto, benchPreview } from './benchPhoto';
import { benchUploads, sendPhotos } from './benchUploads';

const USAGE = `npm run bench [-- photos] [-- draws] [-- preview] [-- live] [-- batch] [-- pages] [-- uploads]

Prints JSON lines. Times are of this machine and hour; only ratios within one run mean something.
  photos    decode to grade against decoding alone, 1 to 48 megapixels, memory over idle
  draws     ten thousand draws of a run of four products with three spreads each
  preview   one frame of the teaching preview on a picture of one megapixel
  live      the same in a browser whose page is slowed four times (needs npm run build)
  batch     40 photos on two cores against one
  pages     a server with 2000 runs and 30 000 spreads: pages at rest and while photos are read (needs npm run build)
  uploads   60 photos sent at once into one run and read: pages of that run and others meanwhile (needs npm run build)`;

const MEGAPIXELS = [1, 3, 12, 48];
const PARTS = ['photos', 'draws', 'preview', 'live', 'batch', 'pages', 'uploads'];

/** One JSON line. */
function say(line: object): void {
	console.log(JSON.stringify(line));
}

async function main(asked: readonly string[]): Promise<number> {
	const [one, amount, method, kind] = asked;
	if (one === 'photo') {
		say(
			await benchPhoto(Number(amount), method === 'model' ? 'model' : 'threshold', kind === 'grainy' ? kind : 'smooth'),
		);
		return 0;
	}
	if (one === 'send-photos') {
		await sendPhotos(String(amount), asked.slice(2));
		return 0;
	}
	if (one === 'batch-on') {
		const [cores, how] = [amount === 'one' ? 'one' : 'two', method === 'model' ? 'model' : 'threshold'] as const;
		say(await batchHere(cores, how, kind === 'practised' ? kind : 'fresh'));
		return 0;
	}
	if (asked.some((part) => !PARTS.includes(part))) {
		console.error(USAGE);
		return 2;
	}
	const wanted = (part: string) => asked.length === 0 || asked.includes(part);
	if (wanted('photos')) {
		for (const how of ['threshold', 'model']) for (const size of MEGAPIXELS) alone(size, how);
		for (const how of ['threshold', 'model']) alone(12, how, 'grainy');
	}
	if (wanted('draws')) say(await benchDraws());
	if (wanted('preview')) say(await benchPreview());
	if (wanted('live')) say(await benchLive());
	if (wanted('batch')) {
		for (const threads of ['fresh', 'practised'] as const) say(benchBatch('threshold', threads));
		say(benchBatch('model', 'fresh'));
	}
	if (wanted('pages')) await benchPages(say);
	if (wanted('uploads')) await benchUploads(say);
	return 0;
}

/** A photo in a process of its own, so that its memory is nobody else's. */
function alone(megapixels: number, method: string, file = 'smooth'): void {
	const self = fileURLToPath(import.meta.url);
	const given = [...process.execArgv, self, 'photo', String(megapixels), method, file];
	const { status } = spawnSync(process.execPath, given, { stdio: 'inherit' });
	if (status !== 0) say({ what: 'photo', megapixels, method, file, failed: status });
}

process.exit(await main(process.argv.slice(2)));

import { createHash, randomUUID } from 'node:crypto';
import { readFileSync, writeSync } from 'node:fs';
import { seededRandom } from '../../lib/quantity/seededRandom';
import { openStore } from '../../lib/store/database';
import { addLot } from '../../lib/store/lots';
import { HOME_YARD } from '../../lib/store/ownYard';
import { openPostgres } from '../../lib/store/postgres';
import { listProducts, weighProduct } from '../../lib/store/products';
import { addRun, listRuns } from '../../lib/store/runs';
import { takeInPhoto } from '../../lib/store/takeInPhoto';
import type { Entry } from './ledger';
import { LOT, RUN } from './madeUp';

/**
 * Takes in photos and edits without end, several at a time, and says what it asked for and what it was told: to be killed.
 * Arguments: data directory, seed. With DATABASE_URL it works on that database instead.
 */
const [directory = '', seed = '1'] = process.argv.slice(2);
const random = seededRandom(Number(seed), 'busy');
const head = readFileSync('demo-images/dev-run-conc1-tray1.jpg').subarray(0, 60_000);
const url = process.env.DATABASE_URL;
const store = url ? (await openPostgres(url)).storeOf(HOME_YARD) : await openStore(directory);
await addLot(store, 'lot', LOT);

/** At once and whole: what was said before the kill is read after it. */
function say(entry: Entry): void {
	writeSync(1, `${JSON.stringify(entry)}\n`);
}

/** An edit waits for a piece of a photo, or edits would be all there is: they take a tenth of the time. */
let release = () => {};
const pieceSent = () =>
	new Promise<void>((resolve) => {
		release = resolve;
	});

async function* pieces(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
	for (let at = 0; at < bytes.length; at += 16_384) {
		say({ step: 'sent', kind: 'piece' });
		release();
		yield bytes.subarray(at, at + 16_384);
	}
}

async function sendPhotos(): Promise<void> {
	for (;;) {
		const runs = await listRuns(store);
		const run = runs[Math.floor(random.uniform() * runs.length)];
		const [product] = run === undefined ? [] : await listProducts(store, run.id);
		if (product === undefined) {
			await enterRun();
			continue;
		}
		const bytes = Buffer.concat([head, Buffer.from(randomUUID())]);
		const sha256 = createHash('sha256').update(bytes).digest('hex');
		const sent = { id: randomUUID(), spreadId: randomUUID(), productId: product.id, originalName: 'tray.jpg' };
		say({ step: 'asked', kind: 'photo', id: sent.id, sha256 });
		await takeInPhoto(store, sent, pieces(bytes), sha256);
		say({ step: 'told', kind: 'photo', id: sent.id, sha256 });
	}
}

async function enterRun(): Promise<void> {
	const id = randomUUID();
	say({ step: 'asked', kind: 'run', id });
	await addRun(store, id, 'lot', RUN);
	say({ step: 'told', kind: 'run', id });
}

async function weigh(): Promise<void> {
	for (let entered = 0; ; entered++) {
		await pieceSent();
		if (entered % 5 === 0) await enterRun();
		const runs = await listRuns(store);
		const run = runs[Math.floor(random.uniform() * runs.length)];
		const products = run === undefined ? [] : await listProducts(store, run.id);
		const product = products[1 + Math.floor(random.uniform() * 3)];
		if (product === undefined) continue;
		const gross = `${(1 + random.uniform() * 50).toFixed(3)} kg`;
		say({ step: 'asked', kind: 'weight', id: product.id, gross });
		await weighProduct(store, product.id, { gross });
		say({ step: 'told', kind: 'weight', id: product.id, gross });
	}
}

await Promise.all([sendPhotos(), sendPhotos(), weigh()]);

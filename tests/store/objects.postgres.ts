import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { expect, onTestFinished, test } from 'vitest';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { classMapName } from '@/lib/store/analyses';
import { checkYard } from '@/lib/store/checkYard';
import { analysePhoto } from '@/lib/store/engine';
import type { ObjectPlace } from '@/lib/store/objectPlace';
import { photoName } from '@/lib/store/photoFiles';
import { startReader } from '@/lib/store/photoReader';
import { choosePhotoReading, getPhoto } from '@/lib/store/photos';
import { PREVIEW_SIDE_PX, previewOf } from '@/lib/store/pictures';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { listRuns } from '@/lib/store/runs';
import { sharedJobs } from '@/lib/store/sharedJobs';
import { signingKey } from '@/lib/store/signingKey';
import { listSpreads } from '@/lib/store/spreads';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { startObjectServer } from './objectServer';
import { freshDatabase, inPieces, storedRun } from './temporaryStore';

const BYTES = await readFile('demo-images/dev-run-tailings-tray1.jpg');
const THRESHOLD = { surface: 'auto', method: 'threshold' } as const;
const OPTIONS = { choice: THRESHOLD, material: BUILT_IN_MATERIALS[0], matScale: 1 };
/** A photo really read, once; what matters is where it lies. */
const POOL = { size: 1, analysePhoto: async () => READING };
const READING = await analysePhoto(BYTES, OPTIONS);
const AWAY = { message: 'The store of photos cannot be reached.' };

async function database(url: string, place: ObjectPlace | undefined): Promise<YardDatabase> {
	const yards = await openPostgres(url, place);
	onTestFinished(() => yards.close());
	return yards;
}

async function send(yards: YardDatabase, yard: string, productId: string): Promise<string> {
	const sent = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: `${yard}.jpg` };
	const { id } = await takeInPhoto(yards.storeOf(yard), sent, inPieces(BYTES, 262_144));
	await choosePhotoReading(yards.storeOf(yard), id, THRESHOLD);
	return id;
}

test('originals and what is made of them lie in the store of objects by yard, keys and figures in the database', async () => {
	const server = await startObjectServer();
	const yards = await database(await freshDatabase(process.env.TEST_DATABASE_URL ?? ''), server.place);
	for (const yard of ['a', 'b']) {
		const store = yards.storeOf(yard);
		const { productId } = await storedRun(store);
		const id = await send(yards, yard, productId);
		const reader = await startReader(sharedJobs(yards), POOL);
		reader.wake();
		await reader.settled();
		const { state, sha256 } = await getPhoto(store, id);
		expect(state.kind).toBe('graded');
		await previewOf(store, sha256);
		const key = state.kind === 'graded' ? state.analysisKey : '';
		const names = [...server.objects.keys()].filter((name) => name.startsWith(`${yard}/`)).sort();
		const own = [classMapName(key), photoName(sha256), `previews/${sha256}-${PREVIEW_SIDE_PX}.jpg`];
		expect(names).toEqual(own.map((name) => `${yard}/${name}`));
		await signingKey(store);
		expect(await checkYard(store)).toEqual({
			photos: 1,
			missing: [],
			altered: [],
			mapsMissing: [],
			records: { broken: [], strayFiles: [] },
		});
	}
	const inTable = await yards.everyYard.selectFrom('stored_file').select('name').execute();
	expect(inTable.map(({ name }) => name)).toEqual(['keys/record-signing.pem', 'keys/record-signing.pem']);
	// what one yard's bucket entries lost or changed is told for that yard alone
	const [name = ''] = [...server.objects.keys()].filter((key) => key.startsWith('a/photos/'));
	server.objects.get(name)!.bytes = Buffer.from('changed');
	for (const key of [...server.objects.keys()]) if (key.startsWith('a/maps/')) server.objects.delete(key);
	expect(await checkYard(yards.storeOf('a'))).toMatchObject({ altered: [name.slice(9).replace('/', '')] });
	expect((await checkYard(yards.storeOf('a'))).mapsMissing).toHaveLength(1);
	expect((await checkYard(yards.storeOf('b'))).altered).toEqual([]);
});

test('while the store of photos is away figures work and photos wait; once it is back they are read', async () => {
	const server = await startObjectServer();
	const yards = await database(await freshDatabase(process.env.TEST_DATABASE_URL ?? ''), server.place);
	const store = yards.storeOf('a');
	const { productId } = await storedRun(store);
	const id = await send(yards, 'a', productId);
	server.be('away');
	await expect(send(yards, 'a', productId)).rejects.toMatchObject(AWAY);
	expect((await listSpreads(store, productId)).flatMap(({ photos }) => photos)).toHaveLength(1);
	expect(await listRuns(store)).toHaveLength(1);
	await expect(previewOf(store, (await getPhoto(store, id)).sha256)).rejects.toMatchObject(AWAY);
	const reader = await startReader(sharedJobs(yards), POOL);
	reader.wake();
	await reader.settled();
	expect((await getPhoto(store, id)).state.kind).not.toBe('refused');
	// an instance that starts meanwhile does start
	await database(await freshDatabase(process.env.TEST_DATABASE_URL ?? ''), server.place);
	server.be('well');
	reader.wake();
	await reader.settled();
	expect((await getPhoto(store, id)).state.kind).toBe('graded');
});

test('a store of photos that does not let the program in ends its start with a sentence', async () => {
	const server = await startObjectServer();
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const wrong = { ...server.place, secretAccessKey: 'guessed' };
	await expect(openPostgres(url, wrong)).rejects.toMatchObject({
		code: 'storage',
		message: 'The store of photos does not let Deckside in.',
	});
});

test('what was kept in the database before there was a store of objects is still found', async () => {
	const server = await startObjectServer();
	const url = await freshDatabase(process.env.TEST_DATABASE_URL ?? '');
	const before = await database(url, undefined);
	const { productId } = await storedRun(before.storeOf('a'));
	const id = await send(before, 'a', productId);
	const store = (await database(url, server.place)).storeOf('a');
	const { sha256 } = await getPhoto(store, id);
	expect(await store.files.read(photoName(sha256))).toEqual(BYTES);
	expect(await store.files.sizeOf(photoName(sha256))).toBe(BYTES.byteLength);
	expect(await store.files.list('photos/')).toEqual([photoName(sha256)]);
	expect(await checkYard(store)).toMatchObject({ photos: 1, missing: [], altered: [] });
	await store.files.write('maps/new.png', Buffer.from('new'));
	expect([...server.objects.keys()]).toEqual(['a/maps/new.png']);
});

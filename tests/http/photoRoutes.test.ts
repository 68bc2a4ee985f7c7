import { randomUUID } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { NextRequest } from 'next/server';
import { expect, test } from 'vitest';
import { PUT } from '@/app/api/photos/[photoId]/route';
import { TrayError } from '@/lib/errors/TrayError';
import { decodePhoto } from '@/lib/photo/decode';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import type { Store } from '@/lib/store/database';
import { readPhoto } from '@/lib/store/photoFiles';
import { getPhoto } from '@/lib/store/photos';
import { POOL_HERE } from '@/lib/store/poolHere';
import type { Running } from '@/lib/store/theStore';
import { type BadPhoto, bitFlips, bombs, FORMATS, strangers, truncations } from '../store/badPhotos';
import { storedRun, temporaryStore } from '../store/temporaryStore';

type Fate = 'refused when sent' | 'refused when read' | 'read';
const holder = globalThis as typeof globalThis & { decksideRunning?: Promise<Running> };
const IN_WORDS = expect.stringMatching(/^[A-Z][^\n]{10,200}\.$/);

/** Send a file as a phone does; only a refusal in words or the photo's checksum may come of it. */
async function send(photoId: string, productId: string, { name, bytes }: BadPhoto): Promise<string | undefined> {
	const address = new URL(`http://127.0.0.1:3000/?product=${productId}&spread=${randomUUID()}`);
	address.searchParams.set('name', name);
	const asked = new NextRequest(address, { method: 'PUT', body: bytes as Uint8Array<ArrayBuffer> });
	const answer = await PUT(asked, { params: Promise.resolve({ photoId }) });
	if (answer.status === 201) return ((await answer.json()) as { sha256: string }).sha256;
	expect([413, 422], name).toContain(answer.status);
	expect(await answer.json(), name).toEqual({ message: IN_WORDS, hint: IN_WORDS });
	return undefined;
}

/** Whether a photo that was taken in has pixels; only a refusal in words may come of looking. */
async function isDecoded(store: Store, sha256: string, name: string): Promise<boolean> {
	try {
		const { raster } = await decodePhoto(await readPhoto(store.files, sha256));
		expect(raster.data.length, name).toBe(3 * raster.width * raster.height);
		return true;
	} catch (error) {
		expect(error, name).toBeInstanceOf(TrayError);
		const { code, message, hint } = error as TrayError; // checked on the line above
		expect(['photo-unreadable', 'photo-too-large'], name).toContain(code);
		expect([message, hint], name).toEqual([IN_WORDS, IN_WORDS]);
		return false;
	}
}

/** The fates of many files, by name; nothing of a refused one stays behind, and what was taken in is graded or refused in words. */
async function fatesOf(photos: readonly BadPhoto[]): Promise<ReadonlyMap<string, Fate>> {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const queue = await startAnalysisQueue(store, POOL_HERE);
	holder.decksideRunning = Promise.resolve({ store, pool: POOL_HERE, queue });
	const fates = new Map<string, Fate>();
	const taken: string[] = [];
	for (const photo of photos) {
		const id = randomUUID();
		const sha256 = await send(id, productId, photo);
		if (sha256 !== undefined) taken.push(id);
		const isRead = sha256 !== undefined && (await isDecoded(store, sha256, photo.name));
		fates.set(photo.name, isRead ? 'read' : sha256 === undefined ? 'refused when sent' : 'refused when read');
	}
	expect(readdirSync(store.files.passing)).toEqual([]);
	expect(await store.db.selectFrom('photo').select('id').execute()).toHaveLength(taken.length);
	await queue.settled();
	for (const id of taken) {
		const { state } = await getPhoto(store, id);
		if (state.kind !== 'graded') expect(state).toMatchObject({ kind: 'refused', message: IN_WORDS });
	}
	return fates;
}

test.each(FORMATS)('%s cut at any kilobyte is never read as a photo', async (format) => {
	const photos = await truncations(format);
	expect(photos.length).toBeGreaterThan(5);
	expect([...(await fatesOf(photos)).values()]).not.toContain('read');
});

test('a PNG with any bit turned over is refused, or read where the bit carries no pixel', async () => {
	const fates = await fatesOf(await bitFlips('png', 60));
	// every chunk carries a checksum; what is left open are chunks that a reader may pass over
	expect([...fates.values()].filter((fate) => fate === 'read').length).toBeLessThan(10);
});

test.each(FORMATS)('%s with any bit turned over is refused in words or read; nothing else happens', async (format) => {
	const fates = await fatesOf(await bitFlips(format, 100));
	expect(fates.size).toBeGreaterThan(90);
});

test('files that unfold to more than memory are refused, and memory stays as it was', async () => {
	const photos = await bombs();
	const before = process.memoryUsage().rss;
	const fates = await fatesOf(photos);
	const read = [...fates].filter(([, fate]) => fate === 'read').map(([name]) => name);
	// its pixels are few and whole; the profile is left aside
	expect(read).toEqual(['png whose profile unfolds to 200 megabytes']);
	// the whole of one photo of the largest size is 150 megabytes
	expect(process.memoryUsage().rss - before).toBeLessThan(250e6);
});

test('a file that is something else too is taken for the photo it is, or refused', async () => {
	const fates = await fatesOf(await strangers());
	const read = [...fates].filter(([, fate]) => fate === 'read').map(([name]) => name);
	expect(read).toEqual([
		'jpeg with a web page behind it',
		'png with an archive behind it',
		'jpeg with a script in its comment',
	]);
});

import { randomUUID } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { expect, test } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { decodePhoto } from '@/lib/photo/decode';
import type { Store } from '@/lib/store/database';
import { readPhoto } from '@/lib/store/photoFiles';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { type BadPhoto, bitFlips, bombs, strangers, truncations } from './badPhotos';
import { inPieces, storedRun, temporaryStore } from './temporaryStore';

type Fate = 'refused when sent' | 'refused when read' | 'read';

/** Send a file as a phone does and read it as the queue does; only a refusal in words may come out of it. */
async function fateOf(store: Store, productId: string, { name, bytes }: BadPhoto): Promise<Fate> {
	const sent = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: name };
	let fate: Fate = 'refused when sent';
	try {
		const { sha256 } = await takeInPhoto(store, sent, inPieces(bytes, 4096));
		fate = 'refused when read';
		const { raster } = await decodePhoto(await readPhoto(store.files, sha256));
		expect(raster.data.length, name).toBe(3 * raster.width * raster.height);
		return 'read';
	} catch (error) {
		expect(error, name).toBeInstanceOf(TrayError);
		const { code, message, hint } = error as TrayError; // checked on the line above
		expect(['photo-unreadable', 'photo-too-large'], name).toContain(code);
		expect(message, name).toMatch(/^[A-Z][^\n]{10,200}\.$/);
		expect(hint, name).toMatch(/^[A-Z][^\n]{10,200}\.$/);
		return fate;
	}
}

/** The fates of many files, by name; nothing of a refused one stays behind. */
async function fatesOf(photos: readonly BadPhoto[]): Promise<ReadonlyMap<string, Fate>> {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const fates = new Map<string, Fate>();
	for (const photo of photos) fates.set(photo.name, await fateOf(store, productId, photo));
	expect(readdirSync(store.files.passing)).toEqual([]);
	const rows = await store.db.selectFrom('photo').select('id').execute();
	expect(rows).toHaveLength([...fates.values()].filter((fate) => fate !== 'refused when sent').length);
	return fates;
}

test.each(['jpeg', 'png'] as const)('a %s cut at any kilobyte is never read as a photo', async (format) => {
	const photos = await truncations(format);
	expect(photos.length).toBeGreaterThan(8);
	expect([...(await fatesOf(photos)).values()]).not.toContain('read');
});

test('a PNG with any bit turned over is refused, or read where the bit carries no pixel', async () => {
	const fates = await fatesOf(await bitFlips('png', 60));
	// every chunk carries a checksum; what is left open are chunks that a reader may pass over
	expect([...fates.values()].filter((fate) => fate === 'read').length).toBeLessThan(10);
});

test('a JPEG with any bit turned over is refused in words or read; nothing else happens', async () => {
	const fates = await fatesOf(await bitFlips('jpeg', 150));
	expect(fates.size).toBeGreaterThan(140);
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

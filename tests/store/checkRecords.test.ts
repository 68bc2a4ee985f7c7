import { rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { checkData } from '@/lib/store/checkData';
import { openStore, type Store } from '@/lib/store/database';
import { pictureName } from '@/lib/store/recordPictures';
import { sealRecord } from '@/lib/store/sealRecord';
import { sha256Of } from '@/lib/store/sha256Of';
import { madeKey, madeRecord } from '../report/madeRecord';
import { temporaryFolder } from './temporaryStore';

const [PHOTO, OUTLINED] = ['a field', 'its outlines'].map((words) => Buffer.from(words)) as [Buffer, Buffer];

/** A data directory with one sealed record of one picture, which is kept twice: plain and outlined. */
async function sealedStore(): Promise<{ readonly data: string; readonly store: Store; readonly number: string }> {
	const data = path.join(await temporaryFolder(), 'data');
	const store = await openStore(data);
	const [photoSha256, outlinedSha256] = [sha256Of(PHOTO), sha256Of(OUTLINED)];
	const picture = {
		kind: 'field' as const,
		spread: 1,
		originalSha256: sha256Of('the original'),
		photoSha256,
		outlinedSha256,
		widthMm: 250,
		heightMm: 160,
		letters: [],
	};
	const { record, seal, deckside } = sealRecord(madeRecord({ pictures: [picture] }), madeKey());
	await store.files.write(pictureName(photoSha256), PHOTO);
	await store.files.write(pictureName(outlinedSha256), OUTLINED);
	const { number } = record;
	const sealed = JSON.stringify({ deckside, record, seal });
	const row = { id: 'one', number, product_id: 'gone', sealed, basis: 'x', created_at: '2026-05-12T10:00:00.000Z' };
	await store.db.insertInto('record').values(row).execute();
	return { data, store, number };
}

test('a sealed record that is whole is found whole', async () => {
	const { data, store } = await sealedStore();
	await store.close();
	expect((await checkData(data)).findings).toEqual([]);
});

test.each([
	[
		'a picture that is gone',
		'misses its picture',
		({ data }: { data: string }) => rmSync(path.join(data, pictureName(sha256Of(PHOTO)))),
	],
	[
		'a picture that was altered',
		'has a picture that was altered',
		({ data }: { data: string }) => writeFileSync(path.join(data, pictureName(sha256Of(OUTLINED))), 'x'),
	],
	[
		'data that was altered',
		'is no longer what was sealed',
		async ({ store }: { store: Store }) => {
			const { sealed } = await store.db.selectFrom('record').select('sealed').executeTakeFirstOrThrow();
			await store.db
				.updateTable('record')
				.set({ sealed: sealed.replace('Lot A', 'Lot B') })
				.execute();
		},
	],
	[
		'data that is cut short',
		'is no longer what was sealed',
		({ store }: { store: Store }) => store.db.updateTable('record').set({ sealed: '{' }).execute(),
	],
])('a sealed record with %s is trouble', async (_, words, spoil) => {
	const { data, store, number } = await sealedStore();
	await spoil({ data, store });
	await store.close();
	const { findings } = await checkData(data);
	expect(findings.map(({ weight }) => weight)).toEqual(['trouble']);
	expect(findings[0]!.message).toContain(`${number} ${words}`);
});

test('a file beside the pictures is noted, whoever put it there', async () => {
	const { data, store } = await sealedStore();
	await store.close();
	writeFileSync(path.join(data, 'records', '.DS_Store'), 'x');
	expect((await checkData(data)).findings).toMatchObject([
		{ weight: 'note', message: expect.stringContaining('records/.DS_Store') },
	]);
});

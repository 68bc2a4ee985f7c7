import { writeFile } from 'node:fs/promises';
import path from 'node:path';
import { AwsV4Signer } from 'aws4fetch';
import { expect, test } from 'vitest';
import { objectFiles, tryObjectPlace } from '@/lib/store/objectFiles';
import { objectPlaceFrom } from '@/lib/store/objectPlace';
import { keepPhoto, photoName, readPhoto, stateOfPhoto } from '@/lib/store/photoFiles';
import published from '../reference/signatureV4.json';
import { sha256Of, signatureOf, startObjectServer } from './objectServer';
import { temporaryFolder } from './temporaryStore';

const AWAY = { code: 'storage', message: 'The store of photos cannot be reached.' };
const BARRED = { code: 'storage', message: 'The store of photos does not let Deckside in.' };
/** Nothing that answers takes so long. */
const PATIENCE = { requestMs: 60_000, waitsMs: [1, 1] };

async function place() {
	const server = await startObjectServer();
	const passing = await temporaryFolder();
	return { server, passing, files: objectFiles(server.place, 'north', passing, PATIENCE) };
}

test.each(published.examples)('the signature of the published example $name', async (example) => {
	const { accessKeyId, secretAccessKey, region, host, date } = published;
	const { method, target, body, signature } = example;
	const headers = Object.fromEntries(
		Object.entries({
			...example.headers,
			host,
			'x-amz-content-sha256': sha256Of(body),
			'x-amz-date': date,
		}).filter((entry): entry is [string, string] => entry[1] !== undefined),
	);
	expect(signatureOf({ method, target, headers, bodySha256: sha256Of(body), date }, published)).toBe(signature);
	// and the client's own
	const { host: _, ...sent } = headers;
	const signer = new AwsV4Signer({
		method,
		url: `https://${host}${target}`,
		headers: sent,
		body,
		accessKeyId,
		secretAccessKey,
		region,
		service: 's3',
		datetime: date,
		allHeaders: true,
	});
	expect(await signer.signature()).toBe(signature);
});

test('what is written is read again byte by byte, with its size, by its own yard alone', async () => {
	const { server, files } = await place();
	const bytes = Buffer.from(Array.from({ length: 100_000 }, (_, at) => at % 251));
	await files.write('maps/a-1.png', bytes);
	expect(bytes.equals((await files.read('maps/a-1.png'))!)).toBe(true);
	expect(await files.sizeOf('maps/a-1.png')).toBe(100_000);
	await files.write('maps/a-1.png', Buffer.from('later'));
	expect(Buffer.from((await files.read('maps/a-1.png'))!).toString()).toBe('later');
	expect(await files.read('maps/none.png')).toBeUndefined();
	expect(await files.sizeOf('maps/none.png')).toBeUndefined();
	const thief = objectFiles(server.place, 'north-2', '', PATIENCE);
	expect(await thief.read('maps/a-1.png')).toBeUndefined();
	expect(await thief.list('')).toEqual([]);
	expect([...server.objects.keys()]).toEqual(['north/maps/a-1.png']);
});

test('of two that write first one is kept', async () => {
	const { files } = await place();
	const outcomes = await Promise.all(
		['one', 'two'].map((text) => files.writeFirst('maps/first.png', Buffer.from(text))),
	);
	expect(outcomes.toSorted()).toEqual([false, true]);
});

test('all names of a beginning are listed, over as many pages as it takes', async () => {
	const { files } = await place();
	const names = Array.from({ length: 8 }, (_, at) => `photos/ab/${at}`);
	for (const name of [...names, 'maps/x.png']) await files.write(name, Buffer.from(name));
	expect(await files.list('photos/')).toEqual(names);
	expect(await files.list('')).toEqual(['maps/x.png', ...names]);
});

test('no name leads out of a yard', async () => {
	const { server, files } = await place();
	const names = [
		'../south/maps/x.png',
		'maps/../../south/x',
		'/etc/passwd',
		'maps//x',
		'maps/.x',
		'maps/a?b',
		'maps/%2e',
		'',
	];
	for (const name of names) {
		await expect(files.read(name), name).rejects.toThrow(TypeError);
		await expect(files.write(name, Buffer.from('x')), name).rejects.toThrow(TypeError);
	}
	await expect(objectFiles(server.place, '../south', '').read('maps/x.png')).rejects.toThrow(TypeError);
	expect(server.objects.size).toBe(0);
});

test('a photo is kept under its checksum; lost and altered ones are told apart, and the sender puts both right', async () => {
	const { server, files } = await place();
	const bytes = Buffer.from('not really a picture');
	const { sha256 } = await keepPhoto(files, [bytes]);
	expect(await stateOfPhoto(files, sha256)).toBe('whole');
	const kept = server.objects.get(`north/${photoName(sha256)}`)!;
	kept.bytes = Buffer.from('altered');
	await expect(readPhoto(files, sha256)).rejects.toMatchObject({ message: expect.stringContaining('altered') });
	await keepPhoto(files, [bytes]);
	expect(Buffer.from(await readPhoto(files, sha256))).toEqual(bytes);
	server.objects.clear();
	await expect(readPhoto(files, sha256)).rejects.toMatchObject({ message: expect.stringContaining('missing') });
	await keepPhoto(files, [bytes]);
	expect(await stateOfPhoto(files, sha256)).toBe('whole');
});

test('what can be made again and is no longer what was written is as good as gone', async () => {
	const { server, files } = await place();
	await files.write('previews/x.jpg', Buffer.from('a picture'));
	server.objects.get('north/previews/x.jpg')!.bytes = Buffer.from('a pictur');
	expect(await files.read('previews/x.jpg')).toBeUndefined();
});

test.each(['away', 'ailing', 'full'] as const)(
	'a store that is %s is told in a sentence; a photo sent meanwhile is kept nowhere, and taken when it is sent again',
	async (mood) => {
		const { server, files, passing } = await place();
		const kept = await keepPhoto(files, [Buffer.from('before')]);
		server.be(mood);
		await expect(keepPhoto(files, [Buffer.from('meanwhile')])).rejects.toMatchObject(AWAY);
		await expect(readPhoto(files, kept.sha256)).rejects.toMatchObject(AWAY);
		await expect(files.list('')).rejects.toMatchObject(AWAY);
		const { readdir } = await import('node:fs/promises');
		expect(await readdir(passing)).toEqual([]);
		expect(server.objects.size).toBe(1);
		server.be('well');
		await keepPhoto(files, [Buffer.from('meanwhile')]);
		expect(Buffer.from(await readPhoto(files, kept.sha256)).toString()).toBe('before');
		expect(server.objects.size).toBe(2);
	},
);

test('a store that takes the request and says nothing is given up on, and asked once only', async () => {
	const { server, passing } = await place();
	const files = objectFiles(server.place, 'north', passing, { ...PATIENCE, requestMs: 50 });
	server.be('silent');
	await expect(files.read('maps/x.png')).rejects.toMatchObject(AWAY);
	// a busy machine may give up before the request has left
	expect(server.asked()).toBeLessThan(2);
});

test.each(['away', 'ailing', 'cut short'] as const)('one answer that is %s is asked for again', async (mood) => {
	const { server, files } = await place();
	await files.write('maps/x.png', Buffer.from('a picture of classes'));
	server.be(mood, { times: 1 });
	expect(Buffer.from((await files.read('maps/x.png'))!).toString()).toBe('a picture of classes');
});

test('a wrong secret, a wrong key, another region and a bucket that is not there are told as such', async () => {
	const { server, passing } = await place();
	await expect(tryObjectPlace(server.place, PATIENCE)).resolves.toBeUndefined();
	for (const wrong of [
		{ secretAccessKey: 'guessed' },
		{ accessKeyId: 'another' },
		{ region: 'us-east-1' },
		{ url: server.place.url.replace('photos', 'other') },
	]) {
		const other = { ...server.place, ...wrong };
		await expect(tryObjectPlace(other, PATIENCE), JSON.stringify(wrong)).rejects.toMatchObject(BARRED);
		await expect(objectFiles(other, 'north', passing, PATIENCE).read('maps/x.png')).rejects.toMatchObject(BARRED);
	}
	// away is not wrong: what needs no photos works
	server.be('away');
	await expect(tryObjectPlace(server.place, PATIENCE)).resolves.toBeUndefined();
});

test('a file of the passing folder is moved in and gone from there', async () => {
	const { files, passing } = await place();
	const from = path.join(passing, 'x.part');
	await writeFile(from, 'bytes');
	await files.moveIn('photos/ab/cd', from);
	expect(Buffer.from((await files.read('photos/ab/cd'))!).toString()).toBe('bytes');
	const { existsSync } = await import('node:fs');
	expect(existsSync(from)).toBe(false);
});

test('the place is read from the environment, whole or not at all, and no key is ever said', () => {
	const whole = {
		DECKSIDE_OBJECTS_URL: 'https://objects.example/photos/',
		DECKSIDE_OBJECTS_KEY: 'key',
		DECKSIDE_OBJECTS_SECRET: 'very secret',
	};
	expect(objectPlaceFrom(whole)).toEqual({
		url: 'https://objects.example/photos',
		region: 'us-east-1',
		accessKeyId: 'key',
		secretAccessKey: 'very secret',
	});
	expect(objectPlaceFrom({})).toBeUndefined();
	expect(objectPlaceFrom({ ...whole, DECKSIDE_OBJECTS_URL: '' })).toBeUndefined();
	const wrong = [
		{ ...whole, DECKSIDE_OBJECTS_SECRET: '' },
		{ ...whole, DECKSIDE_OBJECTS_KEY: undefined },
		...['objects.example', 'ftp://x/y', 'https://key:very secret@x/y', 'https://x/y?z'].map((url) => ({
			...whole,
			DECKSIDE_OBJECTS_URL: url,
		})),
	];
	for (const environment of wrong) {
		const read = () => objectPlaceFrom(environment);
		expect(read, JSON.stringify(environment)).toThrow(/DECKSIDE_OBJECTS_\w+ must be set rightly/);
		expect(read).not.toThrow(/very secret/);
	}
});

import { beforeEach, expect, test } from 'vitest';
import { POST as checkRecord } from '@/app/api/verify/route';
import { POST as backUpKey } from '@/app/records/key/backup/route';
import { restoreKey, signingKey } from '@/lib/store/signingKey';
import type { Running } from '@/lib/store/theStore';
import { madeSealed } from '../report/madeRecord';
import { temporaryStore } from '../store/temporaryStore';

const holder = globalThis as typeof globalThis & { decksideRunning?: Promise<Pick<Running, 'store'>> };
beforeEach(async () => {
	holder.decksideRunning = Promise.resolve({ store: await temporaryStore() });
});
const theStore = async () => (await holder.decksideRunning!).store;

const HERE = 'http://127.0.0.1:3000/';

/** A form with its length said, as browsers say it. */
async function sent(form: FormData, headers: Record<string, string> = {}): Promise<Request> {
	const body = new Response(form);
	const bytes = await body.arrayBuffer();
	const type = body.headers.get('content-type') ?? '';
	const length = String(bytes.byteLength);
	return new Request(HERE, {
		method: 'POST',
		body: bytes,
		headers: { 'content-type': type, 'content-length': length, ...headers },
	});
}

function filesOf(...files: readonly File[]): FormData {
	const form = new FormData();
	for (const file of files) form.append('files', file);
	return form;
}

test('a record and a changed photo are sent, and the photo is named', async () => {
	const data = new File([JSON.stringify(madeSealed())], 'record.json');
	const answer = await checkRecord(await sent(filesOf(data, new File(['changed'], 'tray.jpg'))));
	expect(answer.status).toBe(200);
	const { findings } = (await answer.json()) as { findings: { isGood: boolean; words: string }[] };
	expect(findings[0]?.isGood).toBe(false);
	expect(findings.map(({ words }) => words).join(' ')).toContain("Photo tray.jpg: not one of this record's photos");
});

test('two data files, or more than can be, are refused', async () => {
	const many = filesOf(new File(['{}'], 'a.json'), new File(['{}'], 'b.json'));
	expect((await checkRecord(await sent(many))).status).toBe(400);
	const huge = await checkRecord(await sent(filesOf(), { 'content-length': '900000000' }));
	expect(huge.status).toBe(413);
});

test('the key leaves locked with a passphrase, and to this machine alone', async () => {
	const form = new FormData();
	form.set('passphrase', 'a long passphrase');
	const answer = await backUpKey(await sent(form));
	const pem = await answer.text();
	const store = await theStore();
	const { fingerprint } = await signingKey(store);
	expect((await restoreKey(store, pem, 'a long passphrase')).fingerprint).toBe(fingerprint);
	const device = await backUpKey(await sent(form, { 'x-deckside-seat': 'device', 'x-deckside-device': 'd' }));
	expect(device.status).toBe(403);
	form.set('passphrase', 'short');
	expect((await backUpKey(await sent(form))).status).toBe(400);
	const foreign = await backUpKey(await sent(form, { origin: 'http://elsewhere.invalid' }));
	expect(foreign.status).toBe(403);
});

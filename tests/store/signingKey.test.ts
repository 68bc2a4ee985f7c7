import { expect, test } from 'vitest';
import { isUntouched } from '@/lib/report/verifySentences';
import { checkRecordFile, sealRecord } from '@/lib/store/sealRecord';
import { backupOfKey, keyOwner, replaceKey, restoreKey, signingKey } from '@/lib/store/signingKey';
import { storageError } from '@/lib/store/storageFault';
import { madeRecord } from '../report/madeRecord';
import { temporaryStore } from './temporaryStore';

test('the key is made once, when it is first asked for', async () => {
	const store = await temporaryStore();
	const [one, two] = await Promise.all([signingKey(store), signingKey(store)]);
	expect(two.fingerprint).toBe(one.fingerprint);
});

test('a replaced key is still known, and what it signed still verifies', async () => {
	const store = await temporaryStore();
	const old = await signingKey(store);
	const text = JSON.stringify(sealRecord(madeRecord(), old));
	const fresh = await replaceKey(store);
	expect(fresh.fingerprint).not.toBe(old.fingerprint);
	expect(await keyOwner(store, old.fingerprint)).toBe('earlier');
	expect(await keyOwner(store, fresh.fingerprint)).toBe('present');
	expect(await keyOwner(store, '0'.repeat(64))).toBe('unknown');
	expect(isUntouched(checkRecordFile(text, []).check)).toBe(true);
});

test('a backup gives the key back with its passphrase and not without', async () => {
	const store = await temporaryStore();
	const { fingerprint } = await signingKey(store);
	const backup = await backupOfKey(store, 'a long passphrase');
	expect(backup).toContain('ENCRYPTED PRIVATE KEY');
	await replaceKey(store);
	await expect(restoreKey(store, backup, 'another passphrase')).rejects.toThrow('do not give a signing key');
	await expect(restoreKey(store, 'no key at all', 'a long passphrase')).rejects.toThrow('do not give a signing key');
	expect((await restoreKey(store, backup, 'a long passphrase')).fingerprint).toBe(fingerprint);
	expect(await keyOwner(store, fingerprint)).toBe('present');
});

test('where the disk or the server does not answer the key stays, and nobody is told that it cannot be read', async () => {
	const store = await temporaryStore();
	const { fingerprint } = await signingKey(store);
	const read = () => Promise.reject(storageError('away'));
	const away = { ...store, files: { ...store.files, read } };
	const told = { message: storageError('away').message };
	await expect(signingKey(away)).rejects.toMatchObject(told);
	await expect(replaceKey(away)).rejects.toMatchObject(told);
	expect(await keyOwner(store, fingerprint)).toBe('present');
});

test('a key file that holds no key is told so, and a new key takes its place', async () => {
	const store = await temporaryStore();
	await store.files.write('keys/record-signing.pem', Buffer.from('no key'));
	await expect(signingKey(store)).rejects.toThrow('The signing key cannot be read.');
	expect(await replaceKey(store)).toMatchObject({ fingerprint: (await signingKey(store)).fingerprint });
});

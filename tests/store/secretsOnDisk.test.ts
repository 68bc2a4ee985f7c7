import { readdirSync, readFileSync, statSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { addDevice } from '@/lib/store/devices';
import { replaceKey, signingKey } from '@/lib/store/signingKey';
import { temporaryStore } from './temporaryStore';

test('a signing key in the data directory is readable by its owner alone, the one that takes its place too', async () => {
	const store = await temporaryStore();
	const rights = (name: string) => statSync(path.join(store.directory, name)).mode & 0o777;
	for (const make of [signingKey, replaceKey]) {
		await make(store);
		expect(rights('keys/record-signing.pem')).toBe(0o600);
		expect(rights('keys')).toBe(0o700);
	}
});

test('no token lies in the data directory', async () => {
	const store = await temporaryStore();
	const token = await addDevice(store, 'Phone');
	const files = readdirSync(store.directory, { withFileTypes: true }).filter((entry) => entry.isFile());
	expect(files.length).toBeGreaterThan(0);
	for (const { name } of files)
		expect(readFileSync(path.join(store.directory, name)).includes(token), name).toBe(false);
});

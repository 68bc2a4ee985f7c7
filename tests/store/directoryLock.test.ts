import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { openStore } from '@/lib/store/database';
import { lockDirectory } from '@/lib/store/directoryLock';
import { temporaryFolder, temporaryStore } from './temporaryStore';

const IN_USE = { code: 'storage', message: expect.stringMatching(/Another Deckside .* data directory/) };

async function holder(folder: string) {
	const child = spawn(
		process.execPath,
		['--conditions=react-server', '--import', 'tsx', 'tests/store/holdDirectory.ts', folder],
		{ stdio: ['ignore', 'pipe', 'pipe'] },
	);
	const said: string[] = [];
	child.stderr.on('data', (chunk) => said.push(String(chunk)));
	return { child, complained: () => said.join('') };
}

test('a data directory in use is refused to a second program, and free again once the first is killed', async () => {
	const folder = await temporaryFolder();
	const { child } = await holder(folder);
	await once(child.stdout, 'data');
	await expect(openStore(folder)).rejects.toMatchObject(IN_USE);
	child.kill('SIGKILL');
	await once(child, 'exit');
	const store = await temporaryStore(folder);
	expect(await store.db.selectFrom('photo').selectAll().execute()).toEqual([]);
});

test('the refused program leaves the first one able to save', async () => {
	const store = await temporaryStore();
	const { child, complained } = await holder(store.directory);
	const [status] = await once(child, 'exit');
	expect(status).not.toBe(0);
	expect(complained()).toContain('Another Deckside is already using the data directory');
	await store.db.insertInto('setting').values({ name: 'kept', value: 'yes' }).execute();
	expect(await store.db.selectFrom('setting').select(['name', 'value']).execute()).toEqual([
		{ name: 'kept', value: 'yes' },
	]);
});

test('a directory that was closed can be opened again by the same program', async () => {
	const folder = await temporaryFolder();
	await (await openStore(folder)).close();
	await (await openStore(folder)).close();
	await temporaryStore(folder);
});

test('a lock file that is damaged locks again, and keeps nobody out who comes alone', async () => {
	const folder = await temporaryFolder();
	await (await openStore(folder)).close();
	writeFileSync(path.join(folder, 'in-use.sqlite'), 'no database at all, but long enough to be looked at. '.repeat(9));
	await temporaryStore(folder);
	expect(() => lockDirectory(folder)).toThrow('Another Deckside');
});

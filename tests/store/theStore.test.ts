import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test, vi } from 'vitest';
import { openStore } from '@/lib/store/database';
import { photoName } from '@/lib/store/photoFiles';
import { progressOf } from '@/lib/store/progress';
import { sha256Of } from '@/lib/store/sha256Of';
import { theStore } from '@/lib/store/theStore';
import { temporaryFolder } from './temporaryStore';

test('a start that the disk breaks off can be tried again in the same program, and then has all', async () => {
	const data = path.join(await temporaryFolder(), 'data');
	vi.stubEnv('DECKSIDE_DATA', data);
	await (await openStore(data)).close();
	const [picture] = readdirSync('demo-images').filter((name) => /run-.*\.jpg$/.test(name));
	const folder = path.dirname(path.join(data, photoName(sha256Of(readFileSync(path.join('demo-images', picture!))))));
	writeFileSync(folder, 'a file where a folder of photos belongs');
	await expect(theStore()).rejects.toMatchObject({ code: 'storage', message: expect.not.stringContaining('Another') });
	await expect(theStore()).rejects.toMatchObject({ code: 'storage', message: expect.not.stringContaining('Another') });
	rmSync(folder);
	const { store, pool, queue } = await theStore();
	expect(await progressOf(store)).toMatchObject({ photos: 12 });
	await queue.stop();
	await queue.settled();
	await pool.close();
	await store.close();
});

import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { expect, test } from 'vitest';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { openStore } from '@/lib/store/database';
import { Ledger } from './ledger';
import { temporaryFolder } from './temporaryStore';

/** `npm run test:kills` asks for 200. */
const KILLS = Number(process.env.KILLS ?? 12);

/** Let the store work until it has said so many things, then kill it; what it said until its end is noted. */
async function workAndKill(directory: string, seed: number, afterEntries: number, ledger: Ledger): Promise<void> {
	const child = spawn(
		process.execPath,
		['--conditions=react-server', '--import', 'tsx', 'tests/store/busyStore.ts', directory, String(seed)],
		{ stdio: ['ignore', 'pipe', 'inherit'] },
	);
	const ended = once(child, 'exit');
	let said = 0;
	for await (const line of createInterface({ input: child.stdout })) {
		ledger.note(JSON.parse(line));
		said++;
		if (said === afterEntries) child.kill('SIGKILL');
	}
	expect(await ended).toEqual([null, 'SIGKILL']);
}

test(`killed ${KILLS} times while photos and values come in, the store keeps all it acknowledged and nothing by half`, async () => {
	const directory = await temporaryFolder();
	const random = seededRandom(KILLS, 'kills');
	const ledger = new Ledger();
	for (let kill = 0; kill < KILLS; kill++) {
		await workAndKill(directory, kill, 1 + Math.floor(random.uniform() * 120), ledger);
		// opens by itself, with nothing to be mended by hand
		const store = await openStore(directory);
		await ledger.hold(store);
		await store.close();
	}
	expect(ledger.told.photo, 'photos acknowledged').toBeGreaterThan(KILLS / 2);
	expect(ledger.told.weight, 'weights acknowledged').toBeGreaterThan(KILLS / 2);
	console.log(`acknowledged and there after ${KILLS} kills: ${JSON.stringify(ledger.told)}`);
}, 3_600_000);

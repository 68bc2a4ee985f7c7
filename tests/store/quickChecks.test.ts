import { randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { TrayError } from '@/lib/errors/TrayError';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import type { Store } from '@/lib/store/database';
import { listLots } from '@/lib/store/lots';
import { findQuickCheck, keepQuickCheck, listQuickChecks, openQuickCheck } from '@/lib/store/quickChecks';
import { listRuns, setRunMaterial } from '@/lib/store/runs';
import { listSpreads } from '@/lib/store/spreads';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { inPieces, RUN, storedRun, temporaryStore } from './temporaryStore';

async function check(store: Store): Promise<string> {
	const bytes = await readFile('demo-images/dev-run-tailings-tray1.jpg');
	const id = randomUUID();
	const sent = { id: randomUUID(), spreadId: randomUUID(), productId: id, originalName: 'tray.jpg' };
	// the photo may be sent twice before it is acknowledged
	for (let times = 0; times < 2; times++) {
		await openQuickCheck(store, id);
		await takeInPhoto(store, sent, inPieces(bytes, 65_536));
	}
	return id;
}

test('a quick check stands by itself: no lot, no run in any list', async () => {
	const store = await temporaryStore();
	const id = await check(store);
	expect(await listLots(store)).toEqual([]);
	expect(await listRuns(store)).toEqual([]);
	expect((await listQuickChecks(store)).map((one) => one.id)).toEqual([id]);
	expect((await findQuickCheck(store, id))?.photos).toHaveLength(1);
});

test('kept, it is a spread of the bin and no quick check any more; the same shot kept twice counts once', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	for (let times = 0; times < 2; times++) {
		const id = await check(store);
		await keepQuickCheck(store, id, productId);
		expect(await findQuickCheck(store, id)).toBeUndefined();
	}
	expect(await listSpreads(store, productId)).toHaveLength(1);
});

test('kept in a run of another material, it is read again with that; in one of the same it is not', async () => {
	const store = await temporaryStore();
	for (const [material, state] of [
		['Grey cable', 'queued'],
		[RUN.material, 'graded'],
	] as const) {
		const { runId, productId } = await storedRun(store);
		await setRunMaterial(store, runId, material);
		const id = await check(store);
		await store.db.updateTable('photo').set({ state: 'graded', analysis_key: 'read' }).execute();
		await keepQuickCheck(store, id, productId);
		const [spread] = await listSpreads(store, productId);
		expect(spread?.photos.map((photo) => photo.state.kind)).toEqual([state]);
	}
});

test('a bin that is gone takes no check, and the check stays', async () => {
	const store = await temporaryStore();
	const id = await check(store);
	await expect(keepQuickCheck(store, id, randomUUID())).rejects.toMatchObject({ code: 'not-found' });
	expect((await findQuickCheck(store, id))?.photos).toHaveLength(1);
});

test('a quick check is read before photos that have waited longer', async () => {
	const store = await temporaryStore();
	const { productId } = await storedRun(store);
	const bytes = await readFile('demo-images/dev-run-tailings-tray2.jpg');
	const sent = { id: randomUUID(), spreadId: randomUUID(), productId, originalName: 'earlier.jpg' };
	await takeInPhoto(store, sent, inPieces(bytes, 65_536));
	await check(store);
	const read: Buffer[] = [];
	const analysePhoto = async (photo: Uint8Array) => {
		read.push(Buffer.from(photo));
		throw new TrayError('nothing-spread', 'Nothing.', 'Nothing.');
	};
	const queue = await startAnalysisQueue(store, { size: 1, analysePhoto });
	queue.wake();
	await queue.settled();
	expect(read.map((photo) => photo.equals(bytes))).toEqual([false, true]);
});

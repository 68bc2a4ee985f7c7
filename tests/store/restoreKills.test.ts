import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { backUp } from '@/lib/store/backup';
import { checkData } from '@/lib/store/checkData';
import { getProduct, weighProduct } from '@/lib/store/products';
import { restore } from '@/lib/store/restore';
import { filledStore } from './filledStore';
import { temporaryFolder, temporaryStore } from './temporaryStore';

/** Made and laid beside, named whole, old data set aside, put in its place. */
const STEPS = 4;

/** A directory whose weight was changed after its backup was made; the restore of that was killed after so many steps. */
async function killedAfter(steps: number) {
	const folder = await temporaryFolder();
	const [data, file] = [path.join(folder, 'data'), path.join(folder, 'kept.tar')];
	const { store, productId } = await filledStore(data);
	await backUp(data, file);
	await weighProduct(store, productId, { gross: '9 kg' });
	await store.close();
	const words = [
		'--conditions=react-server',
		'--import',
		'tsx',
		'tests/store/killedRestore.ts',
		file,
		data,
		`${steps}`,
	];
	const { signal, stdout } = spawnSync(process.execPath, words, { encoding: 'utf8' });
	return { folder, data, file, productId, signal, stdout };
}

test.each(Array.from({ length: STEPS }, (_, steps) => steps))(
	'killed after %d steps, a restore leaves what was there, or the next start ends it',
	async (steps) => {
		const { folder, data, file, productId, signal } = await killedAfter(steps);
		expect(signal).toBe('SIGKILL');
		const grossOf = async (directory: string) => {
			const store = await temporaryStore(directory);
			const { weighing } = await getProduct(store, productId);
			await store.close();
			return weighing?.gross;
		};
		const isMovedAway = steps === STEPS - 1;
		if (isMovedAway) {
			const [told] = (await checkData(data)).findings;
			expect(told!.message).toContain('was cut off in its last moment');
		}
		expect(await grossOf(data)).toBe(isMovedAway ? '5,07' : '9 kg');
		expect((await checkData(data)).findings).toEqual([]);
		const aside = readdirSync(folder).filter((name) => name.startsWith('data.before-'));
		expect(aside).toHaveLength(isMovedAway ? 1 : 0);
		if (isMovedAway) expect(await grossOf(path.join(folder, aside[0]!))).toBe('9 kg');
		// and the restore can be asked for again
		await restore(file, data, true);
		expect(await grossOf(data)).toBe('5,07');
		expect(readdirSync(folder).filter((name) => name.includes('restor'))).toEqual([]);
	},
);

test('a restore that nobody kills goes through these steps', async () => {
	expect((await killedAfter(STEPS)).stdout).toBe(`whole after ${STEPS} steps`);
});

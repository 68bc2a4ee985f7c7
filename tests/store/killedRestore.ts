import fs from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';

/**
 * Restores over what is there, and is killed after so many moves and folders made, which are the steps that a restore can be cut off between.
 * Arguments: backup, data directory, steps.
 */
const [file = '', directory = '', steps = '0'] = process.argv.slice(2);
let done = 0;

function orDie(): void {
	if (done === Number(steps)) process.kill(process.pid, 'SIGKILL');
	done++;
}
const { renameSync } = fs;
const { rename, mkdtemp } = fs.promises;
Object.assign(fs, {
	renameSync: (from: string, to: string) => {
		orDie();
		renameSync(from, to);
	},
});
Object.assign(fs.promises, {
	rename: async (from: string, to: string) => {
		orDie();
		await rename(from, to);
	},
	mkdtemp: async (prefix: string) => {
		orDie();
		return mkdtemp(prefix);
	},
});
syncBuiltinESMExports();
const { restore } = await import('../../lib/store/restore');
await restore(file, directory, true);
process.stdout.write(`whole after ${done} steps`);

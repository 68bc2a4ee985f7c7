import 'server-only';
import { randomUUID } from 'node:crypto';
import { existsSync } from 'node:fs';
import { chmod, link, lstat, mkdir, open, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import path from 'node:path';
import type { Files } from './files';
import { inPlainWords } from './storageFault';

/** Files in the data directory: written under a passing name, forced to disk, then renamed. */
export function localFiles(directory: string): Files {
	const passing = path.join(directory, 'incoming');
	const at = (name: string) => path.join(directory, name);

	async function passingFile(bytes: Uint8Array): Promise<string> {
		const name = path.join(passing, `${randomUUID()}.part`);
		const file = await open(name, 'wx', 0o600);
		try {
			await file.writeFile(bytes);
			await file.sync();
		} catch (error) {
			await rm(name, { force: true });
			throw error;
		} finally {
			await file.close();
		}
		return name;
	}

	async function moveIn(name: string, from: string): Promise<void> {
		await makeFolder(path.dirname(at(name)), name);
		await rename(from, at(name));
		await syncFolder(path.dirname(at(name)));
	}

	async function writeFirst(name: string, bytes: Uint8Array): Promise<boolean> {
		const from = await passingFile(bytes);
		try {
			await makeFolder(path.dirname(at(name)), name);
			// a link never replaces a file, so of two that come at once one is kept
			await link(from, at(name));
			await syncFolder(path.dirname(at(name)));
			return true;
		} catch (error) {
			if (!existsSync(at(name))) throw error;
			return false;
		} finally {
			await rm(from, { force: true });
		}
	}

	return {
		passing,
		// a link in the place of a file is not followed, wherever it leads: it reads as altered
		read: (name) =>
			told(async () => {
				const found = await lstat(at(name)).catch(unlessMissing);
				if (found === undefined) return undefined;
				return found.isFile() ? readFile(at(name)) : new Uint8Array();
			}),
		sizeOf: (name) =>
			told(async () =>
				stat(at(name))
					.then(({ size }) => size)
					.catch(unlessMissing),
			),
		write: (name, bytes) =>
			told(async () => {
				const from = await passingFile(bytes);
				await moveIn(name, from).catch(async (error: unknown) => {
					await rm(from, { force: true });
					throw error;
				});
			}),
		writeFirst: (name, bytes) => told(() => writeFirst(name, bytes)),
		moveIn: (name, from) => told(() => moveIn(name, from)),
		list: (beginning) =>
			told(async () => {
				const folder = path.dirname(`${beginning}x`);
				const found = await readdir(at(folder), { recursive: true, withFileTypes: true }).catch(unlessMissing);
				return (found ?? [])
					.filter((entry) => entry.isFile())
					.map((entry) => path.relative(directory, path.join(entry.parentPath, entry.name)).split(path.sep).join('/'))
					.filter((name) => name.startsWith(beginning))
					.sort();
			}),
	};
}

function unlessMissing(error: unknown): undefined {
	if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return undefined;
	throw error;
}

async function told<Result>(work: () => Promise<Result>): Promise<Result> {
	try {
		return await work();
	} catch (error) {
		throw inPlainWords(error);
	}
}

/** Keys are for their owner alone, even where the folder was made by hand with wider rights. */
async function makeFolder(folder: string, name: string): Promise<void> {
	await mkdir(folder, { recursive: true });
	if (name.startsWith('keys/')) await chmod(folder, 0o700);
}

/** The name itself must be on disk before anybody is told that the file is kept. */
export async function syncFolder(name: string): Promise<void> {
	const folder = await open(name, 'r');
	await folder.sync();
	await folder.close();
}

import 'server-only';
import { existsSync, readdirSync, renameSync, rmdirSync, statSync } from 'node:fs';
import path from 'node:path';

/** Where a restore lays its data once all of it is there and proved, beside the data directory. */
export function wholePlace(directory: string): string {
	return `${path.resolve(/* turbopackIgnore: true */ directory)}.restored`;
}

/**
 * End a restore that was cut off when what was there before had been set aside, and nothing yet put in its place. Where there is data it
 * was cut off before, or there was none: then nothing is done.
 *
 * @throws the error of the file system
 */
export function endRestore(directory: string): void {
	const target = path.resolve(/* turbopackIgnore: true */ directory);
	if (!existsSync(wholePlace(target))) return;
	if (existsSync(target)) {
		if (!isEmpty(target)) return;
		rmdirSync(target);
	}
	try {
		renameSync(wholePlace(target), target);
	} catch (error) {
		// another program has ended it in this moment
		if (!existsSync(target)) throw error;
	}
}

/** Nothing in it, whoever made it; any entry is somebody's. */
export function isEmpty(folder: string): boolean {
	if (!statSync(folder).isDirectory()) return false;
	return readdirSync(folder).length === 0;
}

import { existsSync } from 'node:fs';
import { lstat, readdir, readFile, stat } from 'node:fs/promises';
import path from 'node:path';
import { TrayError } from '@/lib/errors/TrayError';
import { readPhoto } from '@/lib/grade/readPhoto';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { type DecodedPhoto, decodePhoto, MAX_PHOTO_BYTES } from '@/lib/photo/decode';

/** What became of one file that was tried as a photo. */
interface Tried {
	readonly file: string;
	/** `refused`: no photo; `readable`: a photo, but of no spread that can be graded as it is; `graded`: it would be graded. */
	readonly outcome: 'refused' | 'readable' | 'graded';
	/** Why it went no further. */
	readonly message?: string;
	readonly hint?: string;
	readonly format?: DecodedPhoto['format'];
	readonly widthPx?: number;
	readonly heightPx?: number;
	readonly orientation?: number;
	readonly profile?: DecodedPhoto['profile'];
}

/** Try every file of a folder as a photo, one JSON line each. Links are not followed; nothing is kept. */
async function tryFolder(folder: string): Promise<void> {
	for (const name of (await readdir(folder, { recursive: true })).sort()) {
		const file = path.join(folder, name);
		if ((await lstat(file)).isFile()) console.log(JSON.stringify(await tryFile(file, name)));
	}
}

async function tryFile(file: string, name: string): Promise<Tried> {
	let decoded: DecodedPhoto;
	try {
		if ((await stat(file)).size > MAX_PHOTO_BYTES)
			throw new TrayError('photo-too-large', 'The file is larger than a photo.', 'Choose the photo itself.');
		decoded = await decodePhoto(await readFile(file));
	} catch (error) {
		return { file: name, outcome: 'refused', ...why(error) };
	}
	const { format, orientation, profile, raster } = decoded;
	const about = { format, widthPx: raster.width, heightPx: raster.height, orientation, profile };
	try {
		await readPhoto(raster, { surface: 'auto', method: 'threshold' }, BUILT_IN_MATERIALS[0], undefined);
		return { file: name, outcome: 'graded', ...about };
	} catch (error) {
		return { file: name, outcome: 'readable', ...about, ...why(error) };
	}
}

function why(error: unknown): { readonly message: string; readonly hint: string } {
	if (!(error instanceof TrayError)) throw error;
	return { message: error.message, hint: error.hint };
}

const [folder] = process.argv.slice(2);
if (folder === undefined || !existsSync(folder)) {
	console.error('Use: npm run --silent try:photos -- FOLDER');
	process.exitCode = 2;
} else await tryFolder(folder);

import 'server-only';
import { TrayError } from '../errors/TrayError';
import type { CleanlinessRecord } from '../report/recordSchema';
import { isUntouched } from '../report/verifySentences';
import type { Files } from './files';
import { pictureName } from './recordPictures';
import { checkRecordFile } from './sealRecord';
import { sha256Of } from './sha256Of';

/** A sealed record that is no longer whole, and in what. */
export interface BrokenRecord {
	readonly number: string;
	readonly wrong: string;
}

/** What was proved of the sealed records: those that are broken, and files that belong to none. */
export interface RecordsCheck {
	readonly broken: readonly BrokenRecord[];
	readonly strayFiles: readonly string[];
}

/**
 * Prove each sealed record: its data by its own seal, its pictures by their checksums.
 *
 * @param rows - all sealed records of the data or the yard that the files belong to
 */
export async function checkRecords(
	files: Files,
	rows: readonly { readonly number: string; readonly sealed: string }[],
): Promise<RecordsCheck> {
	const broken: BrokenRecord[] = [];
	const own = new Set<string>();
	let isAllKnown = true;
	for (const { number, sealed } of rows) {
		const record = untouchedRecord(sealed);
		if (record === undefined) {
			broken.push({ number, wrong: 'is no longer what was sealed' });
			isAllKnown = false;
		}
		for (const { photoSha256, outlinedSha256 } of record?.pictures ?? []) {
			for (const sha256 of [photoSha256, outlinedSha256]) {
				own.add(pictureName(sha256));
				const wrong = await wrongWithPicture(files, sha256);
				if (wrong !== undefined) broken.push({ number, wrong });
			}
		}
	}
	// which pictures are a spoilt record's can't be told, so none is called a stray then
	const there = isAllKnown ? await files.list('records/') : [];
	return { broken, strayFiles: there.filter((name) => !own.has(name)) };
}

function untouchedRecord(sealed: string): CleanlinessRecord | undefined {
	try {
		const { record, check } = checkRecordFile(sealed, []);
		return isUntouched(check) ? record : undefined;
	} catch (error) {
		if (error instanceof TrayError) return undefined;
		throw error;
	}
}

async function wrongWithPicture(files: Files, sha256: string): Promise<string | undefined> {
	const bytes = await files.read(pictureName(sha256));
	if (bytes === undefined) return `misses its picture ${sha256.slice(0, 12)}`;
	return sha256Of(bytes) === sha256 ? undefined : `has a picture that was altered (${sha256.slice(0, 12)})`;
}

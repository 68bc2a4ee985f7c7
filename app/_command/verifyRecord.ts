import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { TrayError } from '@/lib/errors/TrayError';
import { recordText } from '@/lib/report/recordFiles';
import { recordSheet } from '@/lib/report/recordSheet';
import { findingsOf, isUntouched, type RecordCheck } from '@/lib/report/verifySentences';
import { checkRecordFile } from '@/lib/store/sealRecord';

/** What checking a record found, in words and for programs. */
export interface VerifiedRecord {
	readonly matches: boolean;
	readonly text: string;
	readonly check: RecordCheck;
}

/**
 * Check a record's data file, and photos where some are named, against the record's seal.
 *
 * @throws TrayError `file-unreadable` when a file cannot be opened or is no record
 */
export async function verifyRecord(file: string, photos: readonly string[]): Promise<VerifiedRecord> {
	const text = await readFile(file, 'utf8').catch((cause: unknown) => unopened(file, cause));
	const hashed = [];
	for (const photo of photos) hashed.push({ name: photo, sha256: await sha256OfFile(photo) });
	const { record, check } = checkRecordFile(text, hashed);
	const matches = isUntouched(check);
	const findings = findingsOf(check).map(({ isGood, words }) => `${isGood ? '  ' : '! '}${words}`);
	const { seal } = JSON.parse(text) as { seal: Parameters<typeof recordSheet>[0]['seal'] }; // checked by checkRecordFile
	const sheet =
		record && matches
			? [
					recordText(
						recordSheet({ deckside: 'sealed-record/1', record, seal }, check.fingerprint, { isRunChanged: false }),
					),
				]
			: [];
	return { matches, check, text: [findings.join('\n'), ...sheet].join('\n\n') };
}

async function sha256OfFile(file: string): Promise<string> {
	const hash = createHash('sha256');
	try {
		for await (const chunk of createReadStream(file)) hash.update(chunk);
	} catch (cause) {
		return unopened(file, cause);
	}
	return hash.digest('hex');
}

function unopened(file: string, cause: unknown): never {
	throw new TrayError('file-unreadable', `${file} can't be opened.`, 'Check its name and folder.', { cause });
}

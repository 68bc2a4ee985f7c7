import 'server-only';
import { TrayError } from '../errors/TrayError';
import { LatestAsked } from '../quantity/latestAsked';
import type { RecordPaper } from '../report/recordPdf';
import { type RecordSheet, recordSheet } from '../report/recordSheet';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { notFound } from './notFound';
import { readRecordPicture } from './recordPictures';
import type { KeptRecord } from './records';
import { fingerprintOf } from './signingKey';

/** A record in words, with what has become of it. */
export function sheetOfRecord({ sealed, state }: KeptRecord): RecordSheet {
	return recordSheet(sealed, fingerprintOf(Buffer.from(sealed.seal.publicKey, 'base64')), state);
}

/** PDFs held in memory: one takes a megabyte, and to lay it out half a second of a thread that runs are worked out in. */
const MOST_PRINTED = 8;

/** By what stands on them. */
const printed = new LatestAsked<Promise<Uint8Array>>(MOST_PRINTED);

/** A record as a PDF; a picture that is no longer on file is left out, and the PDF says so. */
export async function pdfOfRecord(
	store: Store,
	pool: Pick<AnalysisPool, 'printRecord'>,
	kept: KeptRecord,
	paper: RecordPaper,
): Promise<Uint8Array> {
	const { pictures, issuedAt } = kept.sealed.record;
	const bytes = new Map<string, Uint8Array>();
	for (const sha256 of pictures.flatMap(({ photoSha256, outlinedSha256 }) => [photoSha256, outlinedSha256])) {
		const jpeg = await readRecordPicture(store, sha256).catch(unlessGone);
		if (jpeg !== undefined) bytes.set(sha256, jpeg);
	}
	const sheet = sheetOfRecord(kept);
	// pictures go by their checksums
	const key = JSON.stringify([sheet, paper, [...bytes.keys()]]);
	const pdf = printed.get(key) ?? pool.printRecord({ sheet, pictures: bytes, paper, dated: new Date(issuedAt) });
	printed.hold(key, pdf);
	// a failure is not kept
	pdf.catch(() => printed.delete(key));
	return pdf;
}

/** Trouble that may be over in a moment is no reason to print a record without its pictures. */
function unlessGone(error: unknown): undefined {
	if (!(error instanceof TrayError && error.code === 'not-found')) throw error;
}

/**
 * One picture of a record; pictures of other records cannot be had through it.
 *
 * @throws TrayError `not-found`
 */
export async function pictureOfRecord(store: Store, { sealed }: KeptRecord, sha256: string): Promise<Uint8Array> {
	const own = sealed.record.pictures.some((one) => one.photoSha256 === sha256 || one.outlinedSha256 === sha256);
	return own ? readRecordPicture(store, sha256) : notFound('picture');
}

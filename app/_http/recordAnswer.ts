import { recordCsv, recordJson } from '@/lib/report/recordFiles';
import { RECORD_PAPERS } from '@/lib/report/recordPdf';
import { notFound } from '@/lib/store/notFound';
import { pdfOfRecord, pictureOfRecord, sheetOfRecord } from '@/lib/store/recordOutput';
import type { KeptRecord } from '@/lib/store/records';
import type { Running } from '@/lib/store/theStore';

/**
 * A file of a record, or one of its pictures by checksum (`HASH.jpg`).
 *
 * @throws TrayError `not-found` for any other name
 */
export async function recordAnswer(
	{ store, pool }: Pick<Running, 'store' | 'pool'>,
	kept: KeptRecord,
	file: string,
): Promise<Response> {
	const { number } = kept.sealed.record;
	const paper = RECORD_PAPERS.find((one) => file === `${one}.pdf`);
	if (paper !== undefined) {
		const pdf = await pdfOfRecord(store, pool, kept, paper);
		return answer(Buffer.from(pdf), 'application/pdf', `inline; filename="record-${number}-${paper}.pdf"`);
	}
	if (file === 'record.json') return attached(recordJson(kept.sealed), 'application/json', `record-${number}.json`);
	if (file === 'record.csv') {
		return attached(recordCsv(kept.sealed, sheetOfRecord(kept)), 'text/csv; charset=utf-8', `record-${number}.csv`);
	}
	const sha256 = /^([0-9a-f]{64})\.jpg$/.exec(file)?.[1];
	if (sha256 === undefined) return notFound('file');
	return answer(Buffer.from(await pictureOfRecord(store, kept, sha256)), 'image/jpeg', 'inline');
}

function attached(content: string, type: string, name: string): Response {
	return answer(content, type, `attachment; filename="${name}"`);
}

function answer(body: string | Buffer<ArrayBuffer>, type: string, disposition: string): Response {
	return new Response(body, {
		headers: { 'content-type': type, 'content-disposition': disposition, 'cache-control': 'private, no-store' },
	});
}

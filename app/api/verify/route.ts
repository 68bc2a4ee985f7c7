import { answerErrors } from '@/app/_http/answerErrors';
import { readForm } from '@/app/_http/readForm';
import { refuseForeign } from '@/app/_http/refuseForeign';
import { TrayError } from '@/lib/errors/TrayError';
import { findingsOf } from '@/lib/report/verifySentences';
import { checkRecordFile } from '@/lib/store/sealRecord';
import { sha256Of } from '@/lib/store/sha256Of';
import { keyOwner } from '@/lib/store/signingKey';
import { theStore } from '@/lib/store/theStore';

/** Most that is taken in at once, bytes: a data file and a dozen photos. */
const MOST_BYTES = 200_000_000;

/** Check a record's data file and photos, sent as one form; nothing of it is kept. */
export const POST = answerErrors(async (request: Request) => {
	const foreign = refuseForeign(request);
	if (foreign !== undefined) return foreign;
	const files = (await readForm(request, MOST_BYTES)).getAll('files').filter((one): one is File => one instanceof File);
	const data = files.filter(({ name }) => name.toLowerCase().endsWith('.json'));
	const [file] = data;
	if (file === undefined || data.length > 1) {
		const message = data.length > 1 ? 'More than one data file was given.' : 'The data file is missing.';
		throw new TrayError('usage', message, "Choose one record's JSON file, and its photos if you have them.");
	}
	const photos = [];
	for (const photo of files.filter((one) => one !== file)) {
		photos.push({ name: photo.name, sha256: sha256Of(new Uint8Array(await photo.arrayBuffer())) });
	}
	const { check } = checkRecordFile(await file.text(), photos);
	const { store } = await theStore();
	return Response.json({ findings: findingsOf(check, await keyOwner(store, check.fingerprint)) });
});

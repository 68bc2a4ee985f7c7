import { answerErrors } from '@/app/_http/answerErrors';
import { readForm } from '@/app/_http/readForm';
import { refuseForeign } from '@/app/_http/refuseForeign';
import { needOwnSeat } from '@/app/_http/seat';
import { TrayError } from '@/lib/errors/TrayError';
import { backupOfKey, SHORTEST_PASSPHRASE } from '@/lib/store/signingKey';
import { theStore } from '@/lib/store/theStore';

/** Longest form with one passphrase in it, bytes. */
const MOST_BYTES = 10_000;

/** The signing key as a file, locked with the passphrase that was typed. */
export const POST = answerErrors(async (request: Request) => {
	const foreign = refuseForeign(request);
	if (foreign !== undefined) return foreign;
	needOwnSeat(request.headers);
	const passphrase = (await readForm(request, MOST_BYTES)).get('passphrase');
	if (typeof passphrase !== 'string' || passphrase.length < SHORTEST_PASSPHRASE || passphrase.length > 200) {
		const hint = `Type ${SHORTEST_PASSPHRASE} characters or more, then save the backup again.`;
		throw new TrayError('usage', 'The passphrase is too short.', hint);
	}
	const { store } = await theStore();
	return new Response(await backupOfKey(store, passphrase), {
		headers: {
			'content-type': 'application/x-pem-file',
			'content-disposition': 'attachment; filename="record-signing-key.pem"',
			'cache-control': 'no-store',
		},
	});
});

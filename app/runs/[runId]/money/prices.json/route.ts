import { answerErrors } from '@/app/_http/answerErrors';
import { TrayError } from '@/lib/errors/TrayError';
import { latestPrices } from '@/lib/store/prices';
import { theStore } from '@/lib/store/theStore';

/** The prices on record as a file for the command line. */
export const GET = answerErrors(async () => {
	const { store } = await theStore();
	const kept = await latestPrices(store);
	if (kept === undefined) throw new TrayError('not-found', 'No prices are entered yet.', 'Enter them first.');
	return new Response(`${JSON.stringify(kept.sheet, null, 2)}\n`, {
		headers: {
			'content-type': 'application/json',
			'content-disposition': 'attachment; filename="prices.json"',
			'cache-control': 'no-store',
		},
	});
});

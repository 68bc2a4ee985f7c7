import { answerErrors } from '@/app/_http/answerErrors';
import { openData } from '@/lib/store/theStore';

/** Open the data and take up photos left waiting; the start command asks this once the server listens. */
export const GET = answerErrors(async () => {
	await openData();
	return Response.json({ ready: true }, { headers: { 'cache-control': 'no-store' } });
});

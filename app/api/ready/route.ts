import { answerError } from '@/app/_http/answerError';
import { openData } from '@/lib/store/theStore';

/** Open the data and take up photos left waiting; the start command asks this once the server listens. */
export async function GET(): Promise<Response> {
	try {
		await openData();
		return Response.json({ ready: true }, { headers: { 'cache-control': 'no-store' } });
	} catch (error) {
		return answerError(error);
	}
}

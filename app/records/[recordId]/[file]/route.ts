import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { recordAnswer } from '@/app/_http/recordAnswer';
import { getRecord } from '@/lib/store/records';
import { theStore } from '@/lib/store/theStore';

/** A record's PDF, data file, table or picture. */
export async function GET(_request: Request, context: RouteContext<'/records/[recordId]/[file]'>): Promise<Response> {
	try {
		const { recordId, file } = await context.params;
		const running = await theStore();
		return await recordAnswer(running, await getRecord(running.store, idOf(recordId)), file);
	} catch (error) {
		return answerError(error);
	}
}

import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { recordAnswer } from '@/app/_http/recordAnswer';
import { getRecord } from '@/lib/store/records';
import { theStore } from '@/lib/store/theStore';

/** A record's PDF, data file, table or picture. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/records/[recordId]/[file]'>) => {
	const { recordId, file } = await context.params;
	const running = await theStore();
	return await recordAnswer(running, await getRecord(running.store, idOf(recordId)), file);
});

import { answerErrors } from '@/app/_http/answerErrors';
import { recordAnswer } from '@/app/_http/recordAnswer';
import { sharedRecord } from '@/lib/store/recordLinks';
import { behindLink } from '@/lib/store/theStore';

/** A shared record's PDF, data file, table or picture. Whatever the link is worth no longer, the answer is the same. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/shared/[token]/[file]'>) => {
	const { token, file } = await context.params;
	const linked = await behindLink(token);
	return await recordAnswer(linked, await sharedRecord(linked.store, token), file);
});

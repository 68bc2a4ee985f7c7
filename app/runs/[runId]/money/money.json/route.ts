import { answerErrors } from '@/app/_http/answerErrors';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { askedMoney } from '@/app/_parts/askedMoney';

/** What a run is worth as JSON, of the form of the command line's `money`, with the prices it rests on. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/runs/[runId]/money/money.json'>) => {
	return jsonAnswer('money/1', await askedMoney((await context.params).runId), 'money.json');
});

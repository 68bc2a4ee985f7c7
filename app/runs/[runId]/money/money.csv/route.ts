import { answerErrors } from '@/app/_http/answerErrors';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { askedMoney } from '@/app/_parts/askedMoney';
import { moneyCsv } from '@/lib/report/moneyTable';

/** What a run is worth as a table. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/runs/[runId]/money/money.csv'>) => {
	const { money, prices, warnings } = await askedMoney((await context.params).runId);
	return csvAnswer(moneyCsv(money, prices, warnings), 'money.csv');
});

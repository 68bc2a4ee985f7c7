import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { askedMoney } from '@/app/_parts/askedMoney';
import { moneyCsv } from '@/lib/report/moneyTable';

/** What a run is worth as a table. */
export async function GET(
	_request: Request,
	context: RouteContext<'/runs/[runId]/money/money.csv'>,
): Promise<Response> {
	try {
		const { money, prices, warnings } = await askedMoney((await context.params).runId);
		return csvAnswer(moneyCsv(money, prices, warnings), 'money.csv');
	} catch (error) {
		return answerError(error);
	}
}

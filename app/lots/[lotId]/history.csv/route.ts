import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { lotHistory, workedRuns } from '@/app/_parts/lotHistory';
import { historyCsv } from '@/lib/report/tuningTables';
import { getLot } from '@/lib/store/lots';
import { theStore } from '@/lib/store/theStore';

/** A lot's runs over time as a table. */
export async function GET(_request: Request, context: RouteContext<'/lots/[lotId]/history.csv'>): Promise<Response> {
	try {
		const { store, pool } = await theStore();
		const { id } = await getLot(store, idOf((await context.params).lotId));
		return csvAnswer(historyCsv(lotHistory(await workedRuns(store, pool, id))), 'history.csv');
	} catch (error) {
		return answerError(error);
	}
}

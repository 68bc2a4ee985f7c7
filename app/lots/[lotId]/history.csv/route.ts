import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { lotHistory, workedRuns } from '@/app/_parts/lotHistory';
import { historyCsv } from '@/lib/report/tuningTables';
import { getLot } from '@/lib/store/lots';
import { theStore } from '@/lib/store/theStore';

/** A lot's runs over time as a table. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/lots/[lotId]/history.csv'>) => {
	const { store, pool } = await theStore();
	const { id } = await getLot(store, idOf((await context.params).lotId));
	return csvAnswer(historyCsv(lotHistory(await workedRuns(store, pool, id))), 'history.csv');
});

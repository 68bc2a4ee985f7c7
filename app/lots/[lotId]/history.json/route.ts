import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { lotHistory, workedRuns } from '@/app/_parts/lotHistory';
import { getLot } from '@/lib/store/lots';
import { theStore } from '@/lib/store/theStore';

/** A lot's runs over time as JSON. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/lots/[lotId]/history.json'>) => {
	const { store, pool } = await theStore();
	const lot = await getLot(store, idOf((await context.params).lotId));
	const runs = lotHistory(await workedRuns(store, pool, lot.id)).map(({ id: _, ...line }) => line);
	return jsonAnswer('history/1', { lot: lot.name, runs }, 'history.json');
});

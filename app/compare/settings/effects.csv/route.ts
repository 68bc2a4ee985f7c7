import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { OUTCOMES, settingUnit } from '@/app/_forms/settledRun';
import { answerErrors } from '@/app/_http/answerErrors';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { lotEffects, workedRuns } from '@/app/_parts/lotHistory';
import { perName } from '@/lib/quantity/perName';
import { effectsCsv } from '@/lib/report/tuningTables';
import { theStore } from '@/lib/store/theStore';

/** What settings did over a lot's runs as a table. */
export const GET = answerErrors(async (request: NextRequest) => {
	const { store, pool } = await theStore();
	const worked = await workedRuns(store, pool, idOf(request.nextUrl.searchParams.get('lot')));
	const effects = perName(OUTCOMES, (outcome) => lotEffects(worked, outcome));
	return csvAnswer(effectsCsv(effects, settingUnit), 'effects.csv');
});

import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { OUTCOMES, settingUnit } from '@/app/_forms/settledRun';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { lotEffects, workedRuns } from '@/app/_parts/lotHistory';
import { perName } from '@/lib/quantity/perName';
import { effectsCsv } from '@/lib/report/tuningTables';
import { theStore } from '@/lib/store/theStore';

/** What settings did over a lot's runs as a table. */
export async function GET(request: NextRequest): Promise<Response> {
	try {
		const { store, pool } = await theStore();
		const worked = await workedRuns(store, pool, idOf(request.nextUrl.searchParams.get('lot')));
		const effects = perName(OUTCOMES, (outcome) => lotEffects(worked, outcome));
		return csvAnswer(effectsCsv(effects, settingUnit), 'effects.csv');
	} catch (error) {
		return answerError(error);
	}
}

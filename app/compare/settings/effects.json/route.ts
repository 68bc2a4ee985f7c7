import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { OUTCOMES } from '@/app/_forms/settledRun';
import { answerErrors } from '@/app/_http/answerErrors';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { lotEffects, workedRuns } from '@/app/_parts/lotHistory';
import { perName } from '@/lib/quantity/perName';
import { getLot } from '@/lib/store/lots';
import { theStore } from '@/lib/store/theStore';

/** What settings did over a lot's runs as JSON. */
export const GET = answerErrors(async (request: NextRequest) => {
	const { store, pool } = await theStore();
	const lot = await getLot(store, idOf(request.nextUrl.searchParams.get('lot')));
	const worked = await workedRuns(store, pool, lot.id);
	const effects = perName(OUTCOMES, (outcome) => lotEffects(worked, outcome));
	return jsonAnswer('effects/1', { lot: lot.name, effects }, 'effects.json');
});

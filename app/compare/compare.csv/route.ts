import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { TrayError } from '@/lib/errors/TrayError';
import { comparisonCsv } from '@/lib/report/runTables';
import { tellCompared } from '@/lib/report/toldComparison';
import { latestPrices } from '@/lib/store/prices';
import { compareBoards } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';

/** A comparison as a table. */
export async function GET(request: NextRequest): Promise<Response> {
	try {
		const ids = [...new Set(request.nextUrl.searchParams.getAll('run').map(idOf))].slice(0, 6);
		if (ids.length < 2) throw new TrayError('usage', 'Two runs are needed.', 'Pick two runs to compare.');
		const { store, pool } = await theStore();
		const boards = await Promise.all(ids.map((id) => getBoard(store, id)));
		const sheet = (await latestPrices(store))?.sheet;
		const { compared } = await compareBoards(store, pool, boards, sheet);
		return csvAnswer(comparisonCsv(tellCompared(compared, sheet)), 'compare.csv');
	} catch (error) {
		return answerError(error);
	}
}

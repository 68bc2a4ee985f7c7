import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { settingRowsOf, toldRepeats } from '@/app/_forms/settingRows';
import { answerError } from '@/app/_http/answerError';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { TrayError } from '@/lib/errors/TrayError';
import { withCarryOver } from '@/lib/report/carryOver';
import { tellCompared } from '@/lib/report/toldComparison';
import { latestPrices } from '@/lib/store/prices';
import { compareBoards } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';

/** A comparison as JSON, of the same form as the command line's but for the photos. */
export async function GET(request: NextRequest): Promise<Response> {
	try {
		const ids = [...new Set(request.nextUrl.searchParams.getAll('run').map(idOf))].slice(0, 6);
		if (ids.length < 2) throw new TrayError('usage', 'Two runs are needed.', 'Pick two runs to compare.');
		const { store, pool } = await theStore();
		const boards = await Promise.all(ids.map((id) => getBoard(store, id)));
		const sheet = (await latestPrices(store))?.sheet;
		const { runs, compared } = await compareBoards(store, pool, boards, sheet);
		const settings = boards.map(({ run }) => run.settings);
		const repeats = toldRepeats(runs, settings);
		const document = {
			runs: runs.map(({ name, account }, r) => ({ ...withCarryOver(account, settings[r]), name })),
			settings: settingRowsOf(settings),
			...(repeats === undefined ? {} : { repeats }),
			comparisons: tellCompared(compared, sheet),
		};
		return jsonAnswer('comparison/1', document, 'compare.json');
	} catch (error) {
		return answerError(error);
	}
}

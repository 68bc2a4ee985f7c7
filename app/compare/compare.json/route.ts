import type { NextRequest } from 'next/server';
import { settingRowsOf, toldRepeats } from '@/app/_forms/settingRows';
import { answerErrors } from '@/app/_http/answerErrors';
import { jsonAnswer } from '@/app/_http/jsonAnswer';
import { askedComparison } from '@/app/_parts/askedComparison';
import { withCarryOver } from '@/lib/report/carryOver';
import { tellCompared } from '@/lib/report/toldComparison';
import { theStore } from '@/lib/store/theStore';

/** A comparison as JSON, of the same form as the command line's but for the photos. */
export const GET = answerErrors(async (request: NextRequest) => {
	const { store, pool } = await theStore();
	const { boards, runs, compared, sheet } = await askedComparison(store, pool, request.nextUrl.searchParams);
	const settings = boards.map(({ run }) => run.settings);
	const repeats = toldRepeats(runs, settings);
	const document = {
		runs: runs.map(({ name, account }, r) => ({ ...withCarryOver(account, settings[r]), name })),
		settings: settingRowsOf(settings),
		...(repeats === undefined ? {} : { repeats }),
		comparisons: tellCompared(compared, sheet),
	};
	return jsonAnswer('comparison/1', document, 'compare.json');
});

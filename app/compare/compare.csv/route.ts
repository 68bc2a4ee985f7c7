import type { NextRequest } from 'next/server';
import { answerErrors } from '@/app/_http/answerErrors';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { askedComparison } from '@/app/_parts/askedComparison';
import { comparisonCsv } from '@/lib/report/runTables';
import { tellCompared } from '@/lib/report/toldComparison';
import { theStore } from '@/lib/store/theStore';

/** A comparison as a table. */
export const GET = answerErrors(async (request: NextRequest) => {
	const { store, pool } = await theStore();
	const { compared, sheet } = await askedComparison(store, pool, request.nextUrl.searchParams);
	return csvAnswer(comparisonCsv(tellCompared(compared, sheet)), 'compare.csv');
});

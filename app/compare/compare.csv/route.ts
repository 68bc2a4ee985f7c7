import type { NextRequest } from 'next/server';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { askedComparison } from '@/app/_parts/askedComparison';
import { comparisonCsv } from '@/lib/report/runTables';
import { tellCompared } from '@/lib/report/toldComparison';
import { theStore } from '@/lib/store/theStore';

/** A comparison as a table. */
export async function GET(request: NextRequest): Promise<Response> {
	try {
		const { store, pool } = await theStore();
		const { compared, sheet } = await askedComparison(store, pool, request.nextUrl.searchParams);
		return csvAnswer(comparisonCsv(tellCompared(compared, sheet)), 'compare.csv');
	} catch (error) {
		return answerError(error);
	}
}

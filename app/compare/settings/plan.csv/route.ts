import type { NextRequest } from 'next/server';
import { askedPlan } from '@/app/_forms/askedPlan';
import { settingUnit } from '@/app/_forms/settledRun';
import { answerError } from '@/app/_http/answerError';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { planCsv } from '@/lib/report/tuningTables';

/** A plan of runs as a table. */
export function GET(request: NextRequest): Response {
	try {
		return csvAnswer(planCsv(askedPlan(request.nextUrl.searchParams), settingUnit), 'plan.csv');
	} catch (error) {
		return answerError(error);
	}
}

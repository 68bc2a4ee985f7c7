import type { NextRequest } from 'next/server';
import { askedPlan } from '@/app/_forms/askedPlan';
import { settingUnit } from '@/app/_forms/settledRun';
import { answerErrors } from '@/app/_http/answerErrors';
import { csvAnswer } from '@/app/_http/csvAnswer';
import { planCsv } from '@/lib/report/tuningTables';

/** A plan of runs as a table. */
export const GET = answerErrors((request: NextRequest) => {
	return csvAnswer(planCsv(askedPlan(request.nextUrl.searchParams), settingUnit), 'plan.csv');
});

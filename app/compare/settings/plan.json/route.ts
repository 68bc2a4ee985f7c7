import type { NextRequest } from 'next/server';
import { askedPlan } from '@/app/_forms/askedPlan';
import { answerErrors } from '@/app/_http/answerErrors';
import { jsonAnswer } from '@/app/_http/jsonAnswer';

/** A plan of runs as JSON. */
export const GET = answerErrors((request: NextRequest) => {
	return jsonAnswer('plan/1', askedPlan(request.nextUrl.searchParams), 'plan.json');
});

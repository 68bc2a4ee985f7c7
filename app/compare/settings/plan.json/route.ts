import type { NextRequest } from 'next/server';
import { askedPlan } from '@/app/_forms/askedPlan';
import { answerError } from '@/app/_http/answerError';
import { jsonAnswer } from '@/app/_http/jsonAnswer';

/** A plan of runs as JSON. */
export function GET(request: NextRequest): Response {
	try {
		return jsonAnswer('plan/1', askedPlan(request.nextUrl.searchParams), 'plan.json');
	} catch (error) {
		return answerError(error);
	}
}

import type { FactorialPlan } from '@/lib/balance/factorialPlan';
import { TrayError } from '@/lib/errors/TrayError';
import { readPlanForm } from './planForm';

/**
 * The plan of runs that a page's address asks for.
 *
 * @throws TrayError `usage` with what is missing or can't be
 */
export function askedPlan(asked: URLSearchParams): FactorialPlan {
	const { plan, fields } = readPlanForm({ ...Object.fromEntries(asked), plan: 'yes' });
	const problem = fields.problems[0]?.message;
	if (plan === undefined) {
		throw new TrayError('usage', 'No plan can be made.', problem ?? 'Name two levels for each setting.');
	}
	return plan;
}

import { type FactorialPlan, factorialPlanOf, MOST_TIMES } from '@/lib/balance/factorialPlan';
import { FieldReader } from './readFields';
import { KNOBS } from './runForm';

/**
 * Read which settings a plan varies, from the page's address; settings with neither level are left out.
 *
 * @returns no plan where nothing was asked for or there is a problem
 */
export function readPlanForm(typed: Readonly<Record<string, string>>): {
	readonly plan?: FactorialPlan;
	readonly fields: FieldReader;
} {
	const fields = new FieldReader(typed);
	const settings = KNOBS.flatMap(({ field, label, what, unit, least, most }) => {
		const [low, high] = ['Low', 'High'].map((end) => fields.number(`${field}${end}`, what, { least, most, unit }));
		if (low !== undefined && high !== undefined) return [{ name: label, low, high }];
		if (low !== undefined && !fields.has(`${field}High`))
			fields.problem(`${field}High`, `Enter the high level of ${label.toLowerCase()} as well`);
		if (high !== undefined && !fields.has(`${field}Low`))
			fields.problem(`${field}Low`, `Enter the low level of ${label.toLowerCase()} as well`);
		return [];
	});
	const seed = fields.number('seed', 'The seed', { least: 0, most: 1e9, unit: '' }) ?? 1;
	if (!Number.isInteger(seed)) fields.problem('seed', 'The seed is a whole number');
	const times =
		fields.number('times', 'How often each combination is run', { least: 1, most: MOST_TIMES, unit: '' }) ?? 1;
	if (!Number.isInteger(times)) fields.problem('times', 'How often each combination is run is a whole number');
	if (fields.problems.length > 0 || typed.plan === undefined) return { fields };
	try {
		return { plan: factorialPlanOf(settings, seed, { isHalf: typed.half === 'yes', times }), fields };
	} catch (cause) {
		fields.caught('', cause);
		return { fields };
	}
}

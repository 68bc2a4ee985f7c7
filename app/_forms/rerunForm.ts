import type { AssumedSplit } from '@/lib/balance/rerunAssumed';
import type { Quantity } from '@/lib/quantity/quantity';
import { FieldReader } from './readFields';

type Typed = Readonly<Record<string, string>>;

/** Shares that an assumed rerun is described by, with the words of their fields. */
export const RERUN_SHARES = [
	{ field: 'copperToConcentrate', label: 'Copper that goes to the concentrate' },
	{ field: 'copperToMiddlings', label: 'Copper that comes back as middlings' },
	{ field: 'restToConcentrate', label: 'All the rest that goes to the concentrate' },
	{ field: 'restToMiddlings', label: 'All the rest that comes back as middlings' },
] as const;

/** Where the split of a rerun is taken from. */
export type RerunSource =
	| { readonly kind: 'thisRun' }
	| { readonly kind: 'measured'; readonly runId: string }
	| { readonly kind: 'assumed'; readonly split: AssumedSplit };

/** Most batches of stock that can be asked for, kilograms. */
const BATCH = { least: 0.1, most: 1e6, unit: 'kg' };

/** Read what the page's address asks for; the source counts only when there is no problem. */
export function readRerunForm(typed: Typed): {
	readonly source: RerunSource;
	readonly batchKg?: number;
	readonly fields: FieldReader;
} {
	const fields = new FieldReader(typed);
	const batchKg = fields.number('batchKg', 'The batch', BATCH);
	const rest = { ...(batchKg === undefined ? {} : { batchKg }), fields };
	const from = typed.from ?? 'this';
	if (from === 'this') return { source: { kind: 'thisRun' }, ...rest };
	if (from !== 'assumed') return { source: { kind: 'measured', runId: from }, ...rest };
	const share = (field: string, label: string): Quantity => {
		const value = fields.number(field, label, { least: 0, most: 100, unit: '%' });
		const u = fields.number(`${field}U`, `How far off "${label.toLowerCase()}" may be`, {
			least: 0,
			most: 50,
			unit: 'points',
		});
		if (value === undefined && !fields.has(field))
			fields.problem(field, `Enter the share: ${label.toLowerCase()}, in %`);
		return { value: (value ?? 0) / 100, u: (u ?? 0) / 100 };
	};
	const [first, second, third, fourth] = RERUN_SHARES;
	const split = {
		copperToConcentrate: share(first.field, first.label),
		copperToMiddlings: share(second.field, second.label),
		restToConcentrate: share(third.field, third.label),
		restToMiddlings: share(fourth.field, fourth.label),
	};
	return { source: { kind: 'assumed', split }, ...rest };
}

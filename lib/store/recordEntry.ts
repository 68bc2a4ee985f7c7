import 'server-only';
import { z } from 'zod';
import { contractLimitsSchema } from '../conformity/contractLimits';
import { decisionRuleSchema } from '../conformity/decide';
import { recordSchema } from '../report/recordSchema';
import type { Store } from './database';
import type { RecordEntry } from './makeRecord';
import { getSetting, setSetting } from './settings';
import { keepIfPossible } from './storageFault';

const SETTING = 'recordEntry';

const entrySchema = z.object({
	issuer: recordSchema.shape.issuer,
	sampling: recordSchema.shape.sampling,
	rule: decisionRuleSchema,
	classId: z.string().optional(),
	contract: contractLimitsSchema.optional(),
});

/** What was said when the last record was made: most of it is the same the next time. */
export async function lastRecordEntry(store: Store): Promise<RecordEntry | undefined> {
	const text = await getSetting(store, SETTING);
	return text === undefined ? undefined : entrySchema.safeParse(JSON.parse(text)).data;
}

/** Remember what was said for the next record; a full disk that took the record and not this keeps nobody from it. */
export async function saveRecordEntry(store: Store, entry: RecordEntry): Promise<void> {
	await keepIfPossible(setSetting(store, SETTING, JSON.stringify(entry)));
}

import 'server-only';
import { z } from 'zod';
import { printedScale } from '../photo/matGeometry';
import type { Store } from './database';
import type { ReadingChoice } from './entries';

/** What the printer made of the mat: the 100 mm check line as measured on the paper. */
export const matPrintSchema = z
	.object({
		size: z.enum(['A5', 'A4', 'Letter']),
		checkLineMm: z.number().min(50).max(200),
		measuredOn: z.string(),
	})
	.readonly();
export type MatPrint = z.infer<typeof matPrintSchema>;

/** The last mat check, if there was one. */
export async function getMatPrint(store: Store): Promise<MatPrint | undefined> {
	const text = await getSetting(store, 'matPrint');
	return text === undefined ? undefined : matPrintSchema.parse(JSON.parse(text));
}

/** What the mat of a photo was printed at, 1 where nobody measured it. */
export async function matScaleOf(store: Store, choice: ReadingChoice): Promise<number> {
	if (choice.printedScale !== undefined) return choice.printedScale;
	const print = await getMatPrint(store);
	return print === undefined ? 1 : printedScale(print.checkLineMm);
}

/** Put a mat check on record. Photos read from now on use it. */
export async function saveMatPrint(store: Store, print: MatPrint): Promise<void> {
	await setSetting(store, 'matPrint', JSON.stringify(matPrintSchema.parse(print)));
}

/** A named value, or undefined when it was never set. */
export async function getSetting(store: Store, name: string): Promise<string | undefined> {
	const row = await store.db.selectFrom('setting').select('value').where('name', '=', name).executeTakeFirst();
	return row?.value;
}

/** Set a named value. */
export async function setSetting(store: Store, name: string, value: string): Promise<void> {
	await store.db
		.insertInto('setting')
		.values({ name, value })
		.onConflict((conflict) => conflict.column('name').doUpdateSet({ value }))
		.execute();
}

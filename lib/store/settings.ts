import 'server-only';
import { z } from 'zod';
import { MAT_SIZES, type MatSize, type PrintedScale, printedScale } from '../photo/matGeometry';
import { knownPerName } from '../quantity/perName';
import type { Store } from './database';
import type { ReadingChoice } from './entries';

/** What the printer made of the mat of one sheet size: the 100 mm check line as measured on the paper. */
const matPrintSchema = z
	.object({
		size: z.enum(MAT_SIZES),
		checkLineMm: z.number().min(50).max(200),
		measuredOn: z.string(),
	})
	.readonly();
export type MatPrint = z.infer<typeof matPrintSchema>;

/** The last check of each size of the mat that was checked. */
export type MatPrints = Readonly<Partial<Record<MatSize, MatPrint>>>;

/** Where earlier versions kept one check, which counted for all sizes. It was measured on one, so it goes on counting for that one. */
const FOR_ALL_SIZES = 'matPrint';

/** The last mat checks, by sheet size: each size is printed on its own. */
export async function getMatPrints(store: Store): Promise<MatPrints> {
	const names = [FOR_ALL_SIZES, ...MAT_SIZES.map(settingOf)];
	const rows = await store.db.selectFrom('setting').select(['name', 'value']).where('name', 'in', names).execute();
	const kept = new Map(rows.map(({ name, value }) => [name, matPrintSchema.parse(JSON.parse(value))]));
	const earlier = kept.get(FOR_ALL_SIZES);
	return knownPerName(MAT_SIZES, (size) => kept.get(settingOf(size)) ?? (earlier?.size === size ? earlier : undefined));
}

function settingOf(size: MatSize): string {
	return `matPrint ${size}`;
}

/** What mats were printed at, for the sizes that were measured; 1 where nobody measured any. */
export async function measuredScale(store: Store): Promise<PrintedScale> {
	const prints = Object.values(await getMatPrints(store));
	if (prints.length === 0) return 1;
	return Object.fromEntries(prints.map(({ size, checkLineMm }) => [size, printedScale(checkLineMm)]));
}

/** What the mat of a photo was printed at: what was said with the photo, else what was measured here. */
export async function matScaleOf(store: Store, choice: ReadingChoice): Promise<PrintedScale> {
	return choice.printedScale ?? measuredScale(store);
}

/** Put the check of one size of the mat on record. Photos of that size that are read from now on use it. */
export async function saveMatPrint(store: Store, print: MatPrint): Promise<void> {
	await setSetting(store, settingOf(print.size), JSON.stringify(matPrintSchema.parse(print)));
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

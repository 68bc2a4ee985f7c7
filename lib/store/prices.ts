import 'server-only';
import { currencyOf, type PriceSheet, type PriceSheetInput, priceSheetSchema } from '../value/priceSheet';
import type { Store } from './database';
import { nextInstant } from './instant';
import { holds, saveNew } from './saveNew';

/** Prices on record and when they were entered. */
export interface KeptPrices {
	readonly sheet: PriceSheet;
	readonly enteredAt: string;
}

/**
 * Keep prices as entered; earlier ones stay on record.
 *
 * @param id - of this entry: the same sent twice is kept once
 * @throws TrayError `usage` when amounts are in different currencies
 */
export async function savePrices(store: Store, id: string, sheet: PriceSheetInput): Promise<void> {
	const checked = priceSheetSchema.parse(sheet);
	currencyOf(checked);
	const columns = { sheet: JSON.stringify(checked) };
	const add = async (one: string) => {
		const added = await store.db
			.insertInto('price_sheet')
			.values({ id: one, ...columns, created_at: nextInstant() })
			.onConflict((conflict) => conflict.column('id').doNothing())
			.executeTakeFirst();
		return Number(added.numInsertedOrUpdatedRows ?? 0) > 0;
	};
	const kept = store.db.selectFrom('price_sheet').selectAll().where('id', '=', id);
	// other prices from a form that was saved before go beside the earlier ones, like any that are entered later
	await saveNew(id, false, {
		add,
		isSame: async () => holds(await kept.executeTakeFirst(), columns),
		change: async () => undefined,
	});
}

/** The prices entered last; undefined before the first. */
export async function latestPrices(store: Store): Promise<KeptPrices | undefined> {
	const row = await store.db
		.selectFrom('price_sheet')
		.selectAll()
		.orderBy('created_at', 'desc')
		.orderBy('id')
		.limit(1)
		.executeTakeFirst();
	if (row === undefined) return undefined;
	return { sheet: priceSheetSchema.parse(JSON.parse(row.sheet)), enteredAt: row.created_at };
}

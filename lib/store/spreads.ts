import 'server-only';
import type { Store } from './database';
import { type Photo, photoOf, photosOf } from './photos';

/** A sub-sample of a product laid out one layer thick, with its photos. */
export interface Spread {
	readonly id: string;
	readonly productId: string;
	/** 1 for the first spread of the product. */
	readonly number: number;
	readonly weighedMassKg?: number;
	readonly weighedUnit: string;
	readonly photos: readonly Photo[];
}

/** Spreads of a product that hold at least one photo in sight, in order. */
export async function listSpreads(store: Store, productId: string): Promise<readonly Spread[]> {
	return listSpreadsOf(store, [productId]);
}

/** The same of some products; those of a product in order. */
export async function listSpreadsOf(store: Store, productIds: readonly string[]): Promise<readonly Spread[]> {
	if (productIds.length === 0) return [];
	const rows = await photosOf(store, productIds)
		.selectAll('photo')
		.select(['spread.product_id', 'spread.position', 'spread.weighed_mass_kg', 'spread.weighed_unit'])
		.execute();
	const spreads = new Map<string, Spread & { photos: Photo[] }>();
	const numbers = new Map<string, number>();
	for (const row of rows) {
		const spread = spreads.get(row.spread_id);
		if (spread !== undefined) {
			spread.photos.push(photoOf(row));
			continue;
		}
		const number = (numbers.get(row.product_id) ?? 0) + 1;
		numbers.set(row.product_id, number);
		spreads.set(row.spread_id, {
			id: row.spread_id,
			productId: row.product_id,
			number,
			...(row.weighed_mass_kg === null ? {} : { weighedMassKg: row.weighed_mass_kg }),
			weighedUnit: row.weighed_unit,
			photos: [photoOf(row)],
		});
	}
	return [...spreads.values()];
}

/** The same with what counts alone: the keys of the readings on record of each spread's photos, those of a product in order. */
export async function listReadSpreads(store: Store, productIds: readonly string[]) {
	if (productIds.length === 0) return [];
	const rows = await photosOf(store, productIds)
		.innerJoin('analysis', 'analysis.key', 'photo.analysis_key')
		.select(['spread.id', 'spread.product_id', 'analysis.key', 'photo.state', 'photo.held'])
		.execute();
	const spreads = new Map<string, { readonly id: string; readonly productId: string; readonly photos: string[] }>();
	for (const { id, product_id, key, state, held } of rows) {
		// asked for here, SQLite would rather go through all photos of the yard that stand so
		if (state !== 'graded' || held !== null) continue;
		const spread = spreads.get(id) ?? { id, productId: product_id, photos: [] };
		spread.photos.push(key);
		spreads.set(id, spread);
	}
	return [...spreads.values()];
}

/** Put the mass of a spread on record, or take it away. */
export async function weighSpread(store: Store, id: string, massKg: number | undefined, unit: string): Promise<void> {
	await store.db
		.updateTable('spread')
		.set({ weighed_mass_kg: massKg ?? null, weighed_unit: unit })
		.where('id', '=', id)
		.execute();
}

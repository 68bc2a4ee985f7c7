import { expect } from 'vitest';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import type { Store } from '@/lib/store/database';
import { listLots } from '@/lib/store/lots';
import { listMaterials } from '@/lib/store/materials';
import { listProducts } from '@/lib/store/products';
import { getRun } from '@/lib/store/runs';
import { getMatPrints } from '@/lib/store/settings';
import { listSpreads } from '@/lib/store/spreads';

const AT = '2026-03-05T10:00:00.000Z';
const SHA256 = 'ab'.repeat(32);
export const COPPER = {
	price: { amount: 4, currency: 'USD', per: 'lb' },
	date: '2026-03-05',
	note: 'invented',
	payable: 0.8,
};
const PRICES = JSON.stringify({ deckside: 'prices/1', metals: { copper: COPPER } });
const OWN = JSON.stringify({ ...BUILT_IN_MATERIALS[0], name: 'Own' });

/** What is kept of a row as an earlier version left it: how often a photo was taken is counted elsewhere now. */
export function kept(row: unknown): Record<string, unknown> {
	return Object.fromEntries(Object.entries(row as object).filter(([column]) => column !== 'claims'));
}

/** One row for every table that a version before the newest had, as that version wrote it. */
export const ROWS: readonly (readonly [string, Readonly<Record<string, string | number | null>>])[] = [
	[
		'lot',
		{
			id: 'l',
			name: 'Lot A',
			source: 'invented',
			received_mass_kg: 4,
			received_unit: 'kg',
			treatment: '',
			notes: '',
			created_at: AT,
		},
	],
	[
		'run',
		{
			id: 'r',
			lot_id: 'l',
			name: 'Run 1',
			run_date: '2026-03-05',
			settings: '{"strokeLengthMm":14}',
			feed: '{}',
			notes: 'wet day',
			material: 'Mixed cable waste',
			created_at: AT,
		},
	],
	[
		'product',
		{ id: 'p', run_id: 'r', name: 'Tailings', role: 'tailings', position: 0, weighing: '{"gross":"4,2","unit":"kg"}' },
	],
	['spread', { id: 's', product_id: 'p', position: 0, weighed_mass_kg: 0.05, weighed_unit: 'g' }],
	[
		'photo',
		{
			id: 'f',
			spread_id: 's',
			sha256: SHA256,
			original_name: 'tray.jpg',
			size_bytes: 9,
			choice: '{}',
			state: 'graded',
			analysis_key: 'k',
			created_at: AT,
		},
	],
	['record', { id: 'n', number: 'N-1', product_id: 'p', sealed: '{}', basis: 'b', created_at: AT }],
	['record_link', { id: 'o', record_id: 'n', token_sha256: SHA256, expires_at: AT, created_at: AT }],
	['taught_spot', { material: 'Harness', id: 's', photo_id: 'p', spot: '{}', created_at: AT, deleted_at: null }],
	['device', { id: 'd', name: 'Phone', token_sha256: SHA256, joined_at: AT, seen_at: AT }],
	['analysis', { key: 'k', result: '{}', engine_version: '1', took_ms: 5, created_at: AT }],
	['account', { key: 'k', result: '{}', created_at: AT }],
	['setting', { name: 'matPrint', value: '{"size":"A4","checkLineMm":99.5,"measuredOn":"2026-03-05"}' }],
	['material', { name: 'Own', material: OWN, created_at: AT }],
	['price_sheet', { id: 'c', sheet: PRICES, created_at: AT }],
	[
		'product_check',
		{
			id: 'm',
			product_id: 'p',
			spread_id: null,
			entry: '{"kind":"magnet","sample":"50,0 g","pulled":"0.4"}',
			created_at: AT,
		},
	],
];

/** What every version had on record is there and can be used. */
export async function expectEarlierRows(store: Store): Promise<void> {
	expect(await listLots(store)).toMatchObject([{ name: 'Lot A', receivedMassKg: 4, runs: 1 }]);
	expect(await getRun(store, 'r')).toMatchObject({ notes: 'wet day', settings: { strokeLengthMm: 14 } });
	expect(await listProducts(store, 'r')).toMatchObject([{ weighing: { gross: '4,2', unit: 'kg' } }]);
	expect(await listSpreads(store, 'p')).toMatchObject([{ weighedMassKg: 0.05, photos: [{ sha256: SHA256 }] }]);
	// it counted for all sizes, and was measured on this one
	expect(await getMatPrints(store)).toMatchObject({ A4: { checkLineMm: 99.5 } });
	expect(Object.keys(await getMatPrints(store))).toEqual(['A4']);
	expect((await listMaterials(store)).at(-1)).toMatchObject({ name: 'Own', builtIn: false });
}

import { createHash } from 'node:crypto';
import { sql } from 'kysely';
import { expect } from 'vitest';
import type { Store } from '@/lib/store/database';
import { isPostgres } from '@/lib/store/isPostgres';
import { photoName } from '@/lib/store/photoFiles';

/** What a sender did: it asked for something to be kept, or was told that it is. */
export type Entry =
	| { readonly step: 'asked' | 'told'; readonly kind: 'photo'; readonly id: string; readonly sha256: string }
	| { readonly step: 'asked' | 'told'; readonly kind: 'run'; readonly id: string }
	| { readonly step: 'asked' | 'told'; readonly kind: 'weight'; readonly id: string; readonly gross: string }
	| { readonly step: 'sent'; readonly kind: 'piece' };

/** Everything that senders asked for and were told, over all kills, held against what lies in the data directory. */
export class Ledger {
	private readonly photos = new Map<string, string>();
	private readonly runs = new Set<string>();
	/** By product: the weight told last, and those asked for since, of which any may have been kept without an answer. */
	private readonly weights = new Map<string, (string | undefined)[]>();
	readonly told = { photo: 0, run: 0, weight: 0 };

	note(entry: Entry): void {
		if (entry.step === 'told') this.told[entry.kind]++;
		if (entry.kind === 'weight') {
			const before = this.weights.get(entry.id) ?? [undefined];
			this.weights.set(entry.id, entry.step === 'told' ? [entry.gross] : [...before, entry.gross]);
		}
		if (entry.step !== 'told') return;
		if (entry.kind === 'photo') this.photos.set(entry.id, entry.sha256);
		if (entry.kind === 'run') this.runs.add(entry.id);
	}

	/** Every promise is kept and nothing lies there half-written. */
	async hold({ db, files }: Store): Promise<void> {
		const rows = await db.selectFrom('photo').select(['id', 'sha256', 'size_bytes']).execute();
		const kept = new Map(rows.map(({ id, sha256 }) => [id, sha256]));
		for (const [id, sha256] of this.photos) expect(kept.get(id), `photo ${id} was acknowledged`).toBe(sha256);
		for (const { sha256, size_bytes } of rows) {
			const bytes = (await files.read(photoName(sha256))) ?? new Uint8Array();
			expect(bytes.byteLength).toBe(size_bytes);
			expect(createHash('sha256').update(bytes).digest('hex')).toBe(sha256);
		}
		for (const name of await files.list('photos/')) {
			const bytes = (await files.read(name)) ?? new Uint8Array();
			expect(`photos/${createHash('sha256').update(bytes).digest('hex')}`).toBe(name.replace(/\/(..)\//, '/$1'));
		}
		const products = await db.selectFrom('product').select(['id', 'run_id', 'weighing']).execute();
		for (const id of this.runs) expect(products.filter(({ run_id }) => run_id === id)).toHaveLength(4);
		for (const { id } of await db.selectFrom('run').select('id').execute()) {
			expect(products.filter(({ run_id }) => run_id === id)).toHaveLength(4);
		}
		for (const [id, possible] of this.weights) {
			const weighing = products.find((product) => product.id === id)?.weighing;
			const gross = weighing == null ? undefined : JSON.parse(weighing).gross;
			expect(possible, `the weight of ${id} is one that was entered`).toContain(gross);
			this.weights.set(id, [gross]);
		}
		if (isPostgres(db)) return;
		const { rows: integrity } = await sql<{ integrity_check: string }>`pragma integrity_check`.execute(db);
		expect(integrity).toEqual([{ integrity_check: 'ok' }]);
		expect((await sql`pragma foreign_key_check`.execute(db)).rows).toEqual([]);
	}
}

import 'server-only';
import { randomUUID } from 'node:crypto';
import { z } from 'zod';
import type { LimitClass } from '../conformity/limit';
import { TrayError } from '../errors/TrayError';
import { canonicalJson } from '../report/canonicalJson';
import { type CleanlinessRecord, recordSchema, type SealedRecord, sealSchema } from '../report/recordSchema';
import type { RecordState } from '../report/recordSentences';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { nextInstant } from './instant';
import { basisOf, makeRecord, type RecordEntry } from './makeRecord';
import { notFound } from './notFound';
import { getProduct } from './products';
import { classesOf } from './recordStandings';
import { sealRecord } from './sealRecord';
import { signingKey } from './signingKey';
import { getBoard } from './workedRun';

/** A record on file: what was sealed, and what has become of it since. */
export interface KeptRecord {
	readonly id: string;
	readonly productId: string;
	readonly sealed: SealedRecord;
	readonly state: RecordState;
	/** The record that took this one's place. */
	readonly supersededById?: string;
}

const { number, issuedAt, demo, product, run, lot } = recordSchema.shape;
/** What names a sealed record in a list. */
const namesSchema = z.object({ record: z.object({ number, issuedAt, demo, product, run, lot }) });

/** A record in a list: what names it, and what has become of it since. */
export interface RecordLine extends Omit<KeptRecord, 'sealed'> {
	readonly record: z.infer<typeof namesSchema>['record'];
}

/**
 * Make, seal and keep the record of a product; earlier records of it are superseded by it.
 *
 * The same form sent twice makes one. A form that was gone back to, and holds something else or meets a run that has changed since, makes
 * another record: what was sealed stays.
 *
 * @returns the id that it is kept under
 * @throws TrayError `not-found`, or `nothing-spread` when there is nothing to put on record
 */
export async function issueRecord(
	store: Store,
	pool: AnalysisPool,
	id: string,
	productId: string,
	entry: RecordEntry,
): Promise<string> {
	const { runId } = await getProduct(store, productId);
	const board = await getBoard(store, runId);
	const product = board.products.find((one) => one.id === productId) ?? notFound('product');
	const basis = await basisOf(store, board, product);
	const there = await store.db.selectFrom('record').selectAll().where('id', '=', id).executeTakeFirst();
	if (there !== undefined) {
		const isSame =
			there.product_id === productId && there.basis === basis && says(sealedOf(there.sealed).record, entry);
		return isSame ? id : issueRecord(store, pool, randomUUID(), productId, entry);
	}
	const issuedAt = new Date().toISOString();
	const record = await makeRecord(store, pool, board, product, entry, issuedAt);
	const sealed = sealRecord(record, await signingKey(store));
	await store.db.transaction().execute(async (tx) => {
		const added = await tx
			.insertInto('record')
			.values({
				id,
				number: sealed.record.number,
				product_id: productId,
				sealed: canonicalJson(sealed),
				basis,
				superseded_by: null,
				withdrawn_at: null,
				withdrawn_reason: null,
				created_at: nextInstant(),
			})
			.onConflict((conflict) => conflict.column('id').doNothing())
			.executeTakeFirst();
		if (Number(added.numInsertedOrUpdatedRows ?? 0) === 0) return;
		await tx
			.updateTable('record')
			.set({ superseded_by: id })
			.where('product_id', '=', productId)
			.where('superseded_by', 'is', null)
			.where('id', '!=', id)
			.execute();
	});
	return id;
}

/** Whether a record says what a form holds. */
function says({ issuer, sampling, rule, standings }: CleanlinessRecord, entry: RecordEntry): boolean {
	const limitsOf = (classes: readonly Pick<LimitClass, 'id' | 'name' | 'item' | 'limits'>[]) =>
		classes.map((one) => [
			one.id,
			one.name,
			one.item,
			one.limits.map(({ share, side, fraction, source }) => [share, side, fraction, source]),
		]);
	const told = [issuer, sampling, rule, limitsOf(standings)];
	return canonicalJson(told) === canonicalJson([entry.issuer, entry.sampling, entry.rule, limitsOf(classesOf(entry))]);
}

/**
 * A record on file.
 *
 * @throws TrayError `not-found`
 */
export async function getRecord(store: Store, id: string): Promise<KeptRecord> {
	const row = await recordRows(store).where('record.id', '=', id).executeTakeFirst();
	if (row === undefined) return notFound('record');
	return { sealed: sealedOf(row.sealed), ...standingOf(row, await hasChanged(store, row.product_id, row.basis)) };
}

/** The number of a record on file, for pages that show nothing else of it. @throws TrayError `not-found` */
export async function getRecordNumber({ db }: Store, id: string): Promise<string> {
	const row = await db.selectFrom('record').select('number').where('id', '=', id).executeTakeFirst();
	return row?.number ?? notFound('record');
}

/** Records of one product or of all, newest first; whether a run has changed since is not looked at, nor what a record holds besides its names. */
export async function listRecords(
	store: Store,
	productId?: string,
	part?: { readonly limit: number; readonly skip: number },
): Promise<readonly RecordLine[]> {
	let query = recordRows(store);
	if (productId !== undefined) query = query.where('record.product_id', '=', productId);
	if (part !== undefined) query = query.limit(part.limit).offset(part.skip);
	const rows = await query.orderBy('record.created_at', 'desc').orderBy('record.id').execute();
	return rows.map((row) => ({ ...namesSchema.parse(JSON.parse(row.sealed)), ...standingOf(row, false) }));
}

/** Withdraw a record: it stays on file and reachable, and says so. */
export async function withdrawRecord(store: Store, id: string, reason: string): Promise<void> {
	await store.db
		.updateTable('record')
		.set({ withdrawn_at: new Date().toISOString(), withdrawn_reason: reason })
		.where('id', '=', id)
		.where('withdrawn_at', 'is', null)
		.execute();
}

function recordRows(store: Store) {
	return store.db
		.selectFrom('record')
		.leftJoin('record as later', 'later.id', 'record.superseded_by')
		.selectAll('record')
		.select('later.number as later_number');
}

type RecordRow = Awaited<ReturnType<ReturnType<typeof recordRows>['executeTakeFirstOrThrow']>>;

function standingOf(row: RecordRow, isRunChanged: boolean): Omit<KeptRecord, 'sealed'> {
	return {
		id: row.id,
		productId: row.product_id,
		state: {
			...(row.withdrawn_at === null
				? {}
				: { withdrawn: { on: row.withdrawn_at.slice(0, 10), reason: row.withdrawn_reason ?? '' } }),
			...(row.later_number === null ? {} : { supersededBy: row.later_number }),
			isRunChanged,
		},
		...(row.superseded_by === null ? {} : { supersededById: row.superseded_by }),
	};
}

function sealedOf(text: string): SealedRecord {
	const given = JSON.parse(text) as SealedRecord; // checked on the next lines
	return {
		deckside: 'sealed-record/1',
		record: recordSchema.parse(given.record),
		seal: sealSchema.parse(given.seal),
	};
}

/** The run no longer says what the record was made from, or is no longer in sight. */
async function hasChanged(store: Store, productId: string, basis: string): Promise<boolean> {
	try {
		const { runId } = await getProduct(store, productId);
		const board = await getBoard(store, runId);
		const product = board.products.find(({ id }) => id === productId);
		return product === undefined || (await basisOf(store, board, product)) !== basis;
	} catch (error) {
		if (error instanceof TrayError && error.code === 'not-found') return true;
		throw error;
	}
}

import 'server-only';
import { randomBytes } from 'node:crypto';
import { TrayError } from '../errors/TrayError';
import type { Store } from './database';
import { notFound } from './notFound';
import { getRecord, type KeptRecord } from './records';
import { sha256Of } from './sha256Of';

/** How long a link may be made to last, days. */
export const LINK_DAYS = [7, 30, 90, 365] as const;

/** A link on file, without its token, which nobody can read again. */
export interface RecordLink {
	readonly id: string;
	readonly createdAt: string;
	readonly expiresAt: string;
	readonly revokedAt?: string;
}

/** 192 random bits: none can be guessed. */
const TOKEN_BYTES = 24;
const TOKEN_FORM = /^[A-Za-z0-9_-]{32}$/;

/**
 * Make a link to a record. The token is handed out here and nowhere else; only its checksum is kept.
 *
 * The same id sent twice makes one link; the second answer has no token.
 */
export async function addRecordLink(
	store: Store,
	id: string,
	recordId: string,
	days: number,
): Promise<string | undefined> {
	const token = randomBytes(TOKEN_BYTES).toString('base64url');
	const now = Date.now();
	const added = await store.db
		.insertInto('record_link')
		.values({
			id,
			record_id: recordId,
			token_sha256: sha256Of(token),
			created_at: new Date(now).toISOString(),
			expires_at: new Date(now + days * 86_400_000).toISOString(),
			revoked_at: null,
		})
		.onConflict((conflict) => conflict.column('id').doNothing())
		.executeTakeFirst();
	return Number(added.numInsertedOrUpdatedRows ?? 0) === 0 ? undefined : token;
}

/** Links of a record, newest first. */
export async function listRecordLinks(store: Store, recordId: string): Promise<readonly RecordLink[]> {
	const rows = await store.db
		.selectFrom('record_link')
		.selectAll()
		.where('record_id', '=', recordId)
		.orderBy('created_at', 'desc')
		.orderBy('id')
		.execute();
	return rows.map((row) => ({
		id: row.id,
		createdAt: row.created_at,
		expiresAt: row.expires_at,
		...(row.revoked_at === null ? {} : { revokedAt: row.revoked_at }),
	}));
}

/** Make a link lead nowhere from now on. @returns its record @throws TrayError `not-found` */
export async function revokeRecordLink(store: Store, id: string): Promise<string> {
	const row = await store.db.selectFrom('record_link').select('record_id').where('id', '=', id).executeTakeFirst();
	if (row === undefined) return notFound('link');
	await store.db
		.updateTable('record_link')
		.set({ revoked_at: new Date().toISOString() })
		.where('id', '=', id)
		.where('revoked_at', 'is', null)
		.execute();
	return row.record_id;
}

/**
 * The record that a link's token leads to.
 *
 * @param now - ISO time
 * @throws TrayError `not-found`, the same for a token that never was, has expired or was revoked
 */
export async function sharedRecord(
	store: Store,
	token: string,
	now: string = new Date().toISOString(),
): Promise<KeptRecord> {
	if (!TOKEN_FORM.test(token)) return deadLink();
	const row = await store.db
		.selectFrom('record_link')
		.select('record_id')
		.where('token_sha256', '=', sha256Of(token))
		.where('revoked_at', 'is', null)
		.where('expires_at', '>', now)
		.executeTakeFirst();
	return row === undefined ? deadLink() : getRecord(store, row.record_id);
}

/** Refuse a link, in words for a stranger, who has no list to go back to. @throws TrayError `not-found`, always */
export function deadLink(): never {
	throw new TrayError('not-found', 'This link does not lead to a record.', 'Ask whoever gave it to you for a new one.');
}

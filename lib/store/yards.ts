import 'server-only';
import { randomBytes } from 'node:crypto';
import { sql } from 'kysely';
import { TrayError } from '../errors/TrayError';
import { accessCodeHash, LASTING_CODE_SYMBOLS, makeAccessCode } from './accessCode';
import type { Session } from './deviceDoor';
import { deviceOf, deviceTokenHash } from './devices';
import { yardNameFrom } from './ownYard';
import type { YardDatabase } from './postgres';
import { sha256Of } from './sha256Of';

/** The codes of a yard, as they are shown once: only their hashes are kept. */
export interface YardCodes {
	/** Lets phones join. */
	readonly phones: string;
	/** Lets a computer join that may do what else only the laptop may: forget devices, keep the signing key. */
	readonly office: string;
}

/** A yard as it is listed. */
export interface Yard {
	readonly name: string;
	/** False where nobody can join: no code was made. */
	readonly hasCode: boolean;
	readonly runs: number;
	readonly photos: number;
	/** ISO time. */
	readonly createdAt: string;
}

/** Put a yard on record that may have been there before; its data and its codes stay as they are. */
export async function enterYard({ everyYard }: YardDatabase, yardId: string): Promise<void> {
	await everyYard
		.insertInto('yard')
		.values({ yard_id: yardId, code_sha256: null, office_code_sha256: null, created_at: new Date().toISOString() })
		.onConflict((conflict) => conflict.column('yard_id').doNothing())
		.execute();
}

/**
 * Add a yard.
 *
 * @throws TrayError `usage` when there is one of that name, or it is no name
 */
export async function addYard(database: YardDatabase, name: string): Promise<YardCodes> {
	const yardId = yardNameFrom(name);
	const codes = newCodes();
	const added = await database.everyYard
		.insertInto('yard')
		.values({ yard_id: yardId, ...hashesOf(codes), created_at: new Date().toISOString() })
		.onConflict((conflict) => conflict.column('yard_id').doNothing())
		.executeTakeFirst();
	if (Number(added.numInsertedOrUpdatedRows ?? 0) > 0) return codes;
	const hint = `Take another name, or make new codes for it: npm run yard -- code ${yardId}`;
	throw new TrayError('usage', `There is a yard called "${yardId}" already.`, hint);
}

/**
 * Make new codes for a yard; the ones before let nobody in any more. Devices that have joined stay.
 *
 * @throws TrayError `not-found`
 */
export async function renewYardCodes(database: YardDatabase, name: string): Promise<YardCodes> {
	const codes = newCodes();
	const changed = await database.everyYard
		.updateTable('yard')
		.set(hashesOf(codes))
		.where('yard_id', '=', name)
		.executeTakeFirst();
	if (Number(changed.numUpdatedRows) > 0) return codes;
	throw noYard(name);
}

function newCodes(): YardCodes {
	const code = () => makeAccessCode(randomBytes, LASTING_CODE_SYMBOLS);
	return { phones: code(), office: code() };
}

function hashesOf({ phones, office }: YardCodes) {
	return { code_sha256: accessCodeHash(phones), office_code_sha256: accessCodeHash(office) };
}

/** All yards by name, with how much is in each. */
export async function listYards({ everyYard }: YardDatabase): Promise<readonly Yard[]> {
	const counted = (table: 'run' | 'photo') =>
		sql<string>`(select count(*) from ${sql.table(table)} where ${sql.ref(`${table}.yard_id`)} = yard.yard_id and deleted_at is null)`;
	const rows = await everyYard
		.selectFrom('yard')
		.select(['yard_id', 'code_sha256', 'created_at'])
		.select([counted('run').as('runs'), counted('photo').as('photos')])
		.orderBy('yard_id')
		.execute();
	return rows.map(({ yard_id, code_sha256, created_at, runs, photos }) => ({
		name: yard_id,
		hasCode: code_sha256 !== null,
		runs: Number(runs),
		photos: Number(photos),
		createdAt: created_at,
	}));
}

/** @throws TrayError `not-found` when there is no yard of that name */
export async function needYard({ everyYard }: YardDatabase, name: string): Promise<void> {
	const row = await everyYard.selectFrom('yard').select('yard_id').where('yard_id', '=', name).executeTakeFirst();
	if (row === undefined) throw noYard(name);
}

function noYard(name: string): TrayError {
	return new TrayError('not-found', `There is no yard called "${name}".`, 'See which there are: npm run yard -- list');
}

/**
 * The yard that a code lets in to; undefined for what is no code. Codes are found by their hash, and how long that takes tells
 * nothing of what they are hashes of.
 */
export async function yardOfCode(
	{ everyYard }: YardDatabase,
	typed: string,
): Promise<Pick<Session, 'yardId' | 'isOffice'> | undefined> {
	const hash = accessCodeHash(typed);
	const row = await everyYard
		.selectFrom('yard')
		.select(['yard_id', 'office_code_sha256'])
		.where((eb) => eb.or([eb('code_sha256', '=', hash), eb('office_code_sha256', '=', hash)]))
		.executeTakeFirst();
	return row === undefined ? undefined : { yardId: row.yard_id, isOffice: row.office_code_sha256 === hash };
}

const YARD = sql<string>`yard_id`.as('yard');

/** The device that was given this token, whichever yard it joined. */
export async function sessionOf(database: YardDatabase, token: string): Promise<Session | undefined> {
	const row = await database.everyYard
		.selectFrom('device')
		.select(YARD)
		.where('token_sha256', '=', deviceTokenHash(token))
		.executeTakeFirst();
	if (row === undefined) return undefined;
	const device = await deviceOf(database.storeOf(row.yard), token);
	return device && { deviceId: device.id, yardId: row.yard, isOffice: device.isOffice };
}

/** Those of these devices that were forgotten, by this program or another. */
export async function forgottenAmong({ everyYard }: YardDatabase, ids: readonly string[]): Promise<readonly string[]> {
	if (ids.length === 0) return [];
	const rows = await everyYard
		.selectFrom('device')
		.select('id')
		.where('id', 'in', [...ids])
		.where('forgotten_at', 'is not', null)
		.execute();
	return rows.map(({ id }) => id);
}

/** The yard whose record a link shows; what the link is worth now is for that yard's own records to say. */
export async function yardOfLink({ everyYard }: YardDatabase, token: string): Promise<string | undefined> {
	const row = await everyYard
		.selectFrom('record_link')
		.select(YARD)
		.where('token_sha256', '=', sha256Of(token))
		.executeTakeFirst();
	return row?.yard;
}

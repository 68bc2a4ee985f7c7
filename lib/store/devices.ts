import 'server-only';
import { randomBytes, randomUUID } from 'node:crypto';
import type { Store } from './database';
import { holdOpen } from './keptResult';
import { sha256Of } from './sha256Of';
import { keepIfPossible } from './storageFault';

/** A phone, tablet or computer that has joined with the access code. */
export interface Device {
	readonly id: string;
	readonly name: string;
	/** ISO times. */
	readonly joinedAt: string;
	readonly seenAt: string;
	/** It may do what else only the laptop may. */
	readonly isOffice: boolean;
}

/** How long a device stays joined without joining again, days: a season at the table. Common practice, no source. */
export const JOINED_DAYS = 90;

/** Longest name of a device, characters. */
export const LONGEST_DEVICE_NAME = 60;

/** The time a device was last seen is put down to this, ms, so that reading a page is not a write each time. */
const SEEN_STEP_MS = 60_000;

/**
 * Put a device on record that showed the access code.
 *
 * @param more.isOffice - it showed the code that lets it do what else only the laptop does
 * @returns the token that the device is to carry, 256 random bits; only its hash is kept, so nobody reads it out of the data
 */
export async function addDevice(
	store: Store,
	name: string,
	{ isOffice = false, now = new Date() }: { readonly isOffice?: boolean; readonly now?: Date } = {},
): Promise<string> {
	const token = randomBytes(32).toString('base64url');
	const at = now.toISOString();
	await store.db
		.insertInto('device')
		.values({
			id: randomUUID(),
			name: nameFrom(name),
			token_sha256: deviceTokenHash(token),
			joined_at: at,
			seen_at: at,
			forgotten_at: null,
			is_office: isOffice ? 1 : 0,
		})
		.execute();
	return token;
}

/** The device with this token, unless it was forgotten or joined too long ago. */
export async function deviceOf(
	store: Store,
	token: string,
	now = new Date(),
): Promise<Pick<Device, 'id' | 'isOffice'> | undefined> {
	const row = await store.db
		.selectFrom('device')
		.select(['id', 'seen_at', 'is_office'])
		.where('token_sha256', '=', deviceTokenHash(token))
		.where('forgotten_at', 'is', null)
		.where('joined_at', '>', oldest(now))
		.executeTakeFirst();
	if (row === undefined) return undefined;
	if (now.getTime() - Date.parse(row.seen_at) > SEEN_STEP_MS) noteSeen(store, row.id, now);
	return { id: row.id, isOffice: row.is_office === 1 };
}

/** Devices of which it is being put down that they were seen. */
const beingNoted = new Set<string>();

/** Not waited for, and not missed: a full disk or another program's lock keeps no phone from what is on record. */
function noteSeen(store: Store, id: string, now: Date): void {
	if (beingNoted.has(id)) return;
	beingNoted.add(id);
	const query = store.db.updateTable('device').set({ seen_at: now.toISOString() }).where('id', '=', id);
	const noted = keepIfPossible(query.execute()).finally(() => beingNoted.delete(id));
	holdOpen(noted.then(() => undefined));
}

/**
 * Devices that are let in, the one seen last first.
 *
 * @param part - of a long list; all where it is left out
 */
export async function listDevices(
	store: Store,
	now = new Date(),
	part?: { readonly limit: number; readonly skip: number },
): Promise<readonly Device[]> {
	const all = letIn(store, now).selectAll().orderBy('seen_at', 'desc').orderBy('id');
	const rows = await (part === undefined ? all : all.limit(part.limit).offset(part.skip)).execute();
	return rows.map(({ id, name, joined_at, seen_at, is_office }) => ({
		id,
		name,
		joinedAt: joined_at,
		seenAt: seen_at,
		isOffice: is_office === 1,
	}));
}

/** Another one whenever a device joins or is forgotten. */
export async function devicesMark(store: Store): Promise<string> {
	const { devices, latest } = await letIn(store, new Date())
		.select(({ fn }) => [fn.countAll().as('devices'), fn.max('joined_at').as('latest')])
		.executeTakeFirstOrThrow();
	return `${devices} ${latest}`;
}

function letIn(store: Store, now: Date) {
	return store.db.selectFrom('device').where('forgotten_at', 'is', null).where('joined_at', '>', oldest(now));
}

/** Call a device something else; an empty name is not taken. */
export async function renameDevice(store: Store, id: string, name: string): Promise<void> {
	await store.db
		.updateTable('device')
		.set({ name: nameFrom(name) })
		.where('id', '=', id)
		.execute();
}

/** Let a device in no longer. What it sent stays. */
export async function forgetDevice(store: Store, id: string): Promise<void> {
	await store.db.updateTable('device').set({ forgotten_at: new Date().toISOString() }).where('id', '=', id).execute();
}

function nameFrom(name: string): string {
	return name.trim().slice(0, LONGEST_DEVICE_NAME) || 'A device';
}

function oldest(now: Date): string {
	return new Date(now.getTime() - JOINED_DAYS * 24 * 3600_000).toISOString();
}

/** What is kept of a token. 256 random bits need no slow hash: there is nothing to guess. */
export function deviceTokenHash(token: string): string {
	return sha256Of(token);
}

'use server';

import { randomUUID } from 'node:crypto';
import { revalidatePath } from 'next/cache';
import { headers } from 'next/headers';
import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { FieldReader } from '@/app/_forms/readFields';
import { readRecordForm } from '@/app/_forms/recordForm';
import { addressesNow } from '@/app/_http/lan';
import { isEncrypted, needOwnSeat, seatOf } from '@/app/_http/seat';
import { TrayError, toldOf } from '@/lib/errors/TrayError';
import { saveRecordEntry } from '@/lib/store/recordEntry';
import { addRecordLink, LINK_DAYS, revokeRecordLink } from '@/lib/store/recordLinks';
import { getRecord, issueRecord, withdrawRecord } from '@/lib/store/records';
import { replaceKey, restoreKey } from '@/lib/store/signingKey';
import { theStore } from '@/lib/store/theStore';

/** Make, seal and keep a product's record, and open it. */
export const createRecord = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const { entry, fields } = readRecordForm(typed);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const { store, pool } = await theStore();
	let id: string;
	try {
		id = await issueRecord(store, pool, idOf(typed.id), idOf(typed.productId), entry);
	} catch (cause) {
		return sentBack(before, form, [{ field: '', message: toldOf(cause) }]);
	}
	await saveRecordEntry(store, entry);
	redirect(`/records/${id}`);
});

/** Withdraw a record. */
export const withdraw = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const fields = new FieldReader(typed);
	const reason = fields.needed('reason', 'Say why the record is withdrawn', 300);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const id = idOf(typed.id);
	const { store } = await theStore();
	await withdrawRecord(store, id, reason);
	redirect(`/records/${id}`);
});

/** A link just made; it is shown this once. */
export interface MadeLink {
	readonly address?: string;
	/** Its id on file. */
	readonly link?: string;
	/** Why there is none: the request was not answered. */
	readonly why?: 'no answer' | 'shut out';
	/** Or the server's own words for it. */
	readonly told?: string;
	/** How long it was to last, as chosen, so that it stands there for another try. */
	readonly days?: string;
}

/** Make a link that shows a record to whoever holds it. */
export async function shareRecord(_before: MadeLink, form: FormData): Promise<MadeLink> {
	const typed = typedOf(form);
	let link: string;
	let recordId: string;
	let token: string | undefined;
	try {
		link = idOf(typed.id);
		recordId = idOf(typed.recordId);
		const days = LINK_DAYS.find((one) => String(one) === typed.days);
		if (days === undefined)
			throw new TrayError('usage', 'How long the link is to last was not said.', 'Choose a time.');
		const { store } = await theStore();
		await getRecord(store, recordId);
		token = await addRecordLink(store, link, recordId, days);
		if (token === undefined) {
			// one whose address was lost on the way back is known to nobody, and stays in the list
			link = randomUUID();
			token = await addRecordLink(store, link, recordId, days);
		}
	} catch (cause) {
		return { told: toldOf(cause), ...(typed.days === undefined ? {} : { days: typed.days }) };
	}
	// the page lists the link, and names another for the next press
	revalidatePath(`/records/${recordId}`);
	if (token === undefined) return {};
	const asking = await headers();
	const own = `${isEncrypted(asking) ? 'https' : 'http'}://${asking.get('host') ?? 'localhost'}`;
	// a device on the network came by an address that answers
	const network = seatOf(asking).kind === 'device' ? own : addressesNow()[0];
	return { address: `${network ?? own}/shared/${token}`, link };
}

/** Make a link lead nowhere. */
export async function revokeLink(form: FormData): Promise<void> {
	const { store } = await theStore();
	redirect(`/records/${await revokeRecordLink(store, idOf(form.get('id')))}`);
}

/** Put a new signing key in the place of the old one. */
export async function newSigningKey(): Promise<void> {
	needOwnSeat(await headers());
	const { store } = await theStore();
	await replaceKey(store);
	redirect('/records/key');
}

/** Largest file that can be a backup of a key, bytes. */
const MOST_KEY_BYTES = 10_000;

/** Take the signing key in from its backup. */
export const takeInSigningKey = keepTyped(async (before, form) => {
	needOwnSeat(await headers());
	const file = form.get('file');
	if (!(file instanceof File) || file.size === 0 || file.size > MOST_KEY_BYTES) {
		return sentBack(before, form, [{ field: 'file', message: 'Choose a backup that was saved on this page' }]);
	}
	const { store } = await theStore();
	try {
		await restoreKey(store, await file.text(), typedOf(form).passphrase ?? '');
	} catch (cause) {
		return sentBack(before, form, [{ field: 'file', message: toldOf(cause) }]);
	}
	redirect('/records/key');
});

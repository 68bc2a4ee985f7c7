'use server';

import { headers } from 'next/headers';
import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { FieldReader } from '@/app/_forms/readFields';
import { needOwnSeat, seatOf } from '@/app/_http/seat';
import { renewAccessCode } from '@/lib/store/accessCode';
import { deviceDoor } from '@/lib/store/deviceDoor';
import { forgetDevice, LONGEST_DEVICE_NAME, renameDevice } from '@/lib/store/devices';
import { theStore } from '@/lib/store/theStore';

/** Let a device in no longer, from this moment on. */
export async function forgetThisDevice(form: FormData): Promise<void> {
	needOwnSeat(await headers());
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await forgetDevice(store, id);
	deviceDoor()?.letGo(id);
	store.changes.announce();
	redirect('/devices');
}

/** The device itself leaves. */
export async function leave(): Promise<void> {
	const seat = seatOf(await headers());
	const { store } = await theStore();
	if (seat.kind === 'device') await forgetDevice(store, seat.id);
	redirect('/join');
}

/** Call a device something else. */
export const nameDevice = keepTyped(async (before, form) => {
	needOwnSeat(await headers());
	const fields = new FieldReader(typedOf(form));
	const name = fields.needed('name', 'Enter a name for the device', LONGEST_DEVICE_NAME);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const { store } = await theStore();
	await renameDevice(store, idOf(form.get('id')), name);
	redirect('/devices');
});

/** Make a new code; the one before lets nobody in any more. */
export async function newCode(): Promise<void> {
	needOwnSeat(await headers());
	renewAccessCode();
	redirect('/devices');
}

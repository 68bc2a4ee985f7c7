import { expect, test } from 'vitest';
import {
	addDevice,
	deviceOf,
	devicesMark,
	forgetDevice,
	JOINED_DAYS,
	listDevices,
	renameDevice,
} from '@/lib/store/devices';
import { keptInFull } from '@/lib/store/keptResult';
import { temporaryStore } from './temporaryStore';

test('a device that joined is known by its token, alone among all tokens', async () => {
	const store = await temporaryStore();
	const [phone, tablet] = [await addDevice(store, ' Phone at the table '), await addDevice(store, '')];
	const id = await deviceOf(store, phone);
	expect(id).toBeDefined();
	expect(await deviceOf(store, tablet)).not.toBe(id);
	expect(await deviceOf(store, 'A'.repeat(43))).toBeUndefined();
	const names = (await listDevices(store)).map(({ name }) => name);
	expect(names.toSorted()).toEqual(['A device', 'Phone at the table']);
	const parts = [0, 1, 2].map((skip) => listDevices(store, undefined, { limit: 1, skip }));
	expect((await Promise.all(parts)).flat().map(({ name }) => name)).toEqual(names);
});

test('a device that was forgotten is out at once; the others stay in', async () => {
	const store = await temporaryStore();
	const [phone, tablet] = [await addDevice(store, 'Phone'), await addDevice(store, 'Tablet')];
	const id = (await deviceOf(store, phone))?.id ?? '';
	const mark = await devicesMark(store);
	await forgetDevice(store, id);
	expect(await devicesMark(store)).not.toBe(mark);
	expect(await deviceOf(store, phone)).toBeUndefined();
	expect(await deviceOf(store, tablet)).toBeDefined();
	expect((await listDevices(store)).map(({ name }) => name)).toEqual(['Tablet']);
});

test('a device that joined long ago joins again', async () => {
	const store = await temporaryStore();
	const joined = new Date('2026-01-01T00:00:00Z');
	const token = await addDevice(store, 'Phone', { now: joined });
	const after = (days: number) => new Date(joined.getTime() + days * 24 * 3600_000);
	expect(await deviceOf(store, token, after(JOINED_DAYS - 1))).toBeDefined();
	expect(await deviceOf(store, token, after(JOINED_DAYS))).toBeUndefined();
	expect(await listDevices(store, after(JOINED_DAYS))).toEqual([]);
});

test('a device can be called something else, and is seen when it asks', async () => {
	const store = await temporaryStore();
	const joined = new Date('2026-01-01T00:00:00Z');
	const token = await addDevice(store, 'iPhone', { now: joined });
	const seen = new Date('2026-01-02T00:00:00Z');
	const id = (await deviceOf(store, token, seen))?.id ?? '';
	await keptInFull();
	await renameDevice(store, id, 'Phone of the yard');
	expect(await listDevices(store, seen)).toEqual([
		{ id, name: 'Phone of the yard', joinedAt: joined.toISOString(), seenAt: seen.toISOString(), isOffice: false },
	]);
});

import { type DBSchema, type IDBPDatabase, openDB } from 'idb';

/** Where a photo belongs; ids are made on the phone, so that sending twice stores once. */
export interface PhotoPlace {
	readonly photo: string;
	readonly product: string;
	readonly spread: string;
	/** A photo of the same product that this one was taken instead of: it goes to that one's spread. */
	readonly instead?: string;
	/** A quick check: its product is made when the photo arrives. */
	readonly quick?: boolean;
}

/** One photo that the server has not acknowledged. */
export interface Letter {
	readonly id: string;
	readonly place: PhotoPlace;
	readonly name: string;
	readonly sizeBytes: number;
	readonly sha256: string;
	readonly addedAt: number;
	/** Set when the server will not have it as it is. */
	readonly refusal?: string;
	/** The refusal was about its place, which was removed; the photo itself may be fine. */
	readonly placeGone?: boolean;
}

interface Outbox extends DBSchema {
	letters: { key: string; value: Letter };
	/** Bytes apart, so that listing what waits reads none of them. */
	bytes: { key: string; value: ArrayBuffer };
}

let opened: Promise<IDBPDatabase<Outbox>> | undefined;

function open(): Promise<IDBPDatabase<Outbox>> {
	opened ??= openDB<Outbox>('deckside-outbox', 1, {
		upgrade(db) {
			db.createObjectStore('letters', { keyPath: 'id' });
			db.createObjectStore('bytes');
		},
		terminated: () => {
			opened = undefined;
		},
	});
	opened.catch(() => {
		opened = undefined;
	});
	return opened;
}

/** Put a photo in, letter and bytes together or neither. Resolves once the browser has it. */
export async function putLetter(letter: Letter, bytes: ArrayBuffer): Promise<void> {
	const db = await open();
	const tx = db.transaction(['letters', 'bytes'], 'readwrite', { durability: 'strict' });
	await Promise.all([tx.objectStore('letters').put(letter), tx.objectStore('bytes').put(bytes, letter.id), tx.done]);
}

/** Change what is known of a photo that still waits. */
export async function changeLetter(letter: Letter): Promise<void> {
	const db = await open();
	const tx = db.transaction('letters', 'readwrite');
	// another tab may have sent it meanwhile: then it must not come back
	if ((await tx.store.get(letter.id)) !== undefined) await tx.store.put(letter);
	await tx.done;
}

/** Take a photo out. */
export async function dropLetter(id: string): Promise<void> {
	const db = await open();
	const tx = db.transaction(['letters', 'bytes'], 'readwrite');
	await Promise.all([tx.objectStore('letters').delete(id), tx.objectStore('bytes').delete(id), tx.done]);
}

/** What waits, the longest waiting first. */
export async function listLetters(): Promise<readonly Letter[]> {
	const db = await open();
	return (await db.getAll('letters')).sort((a, b) => a.addedAt - b.addedAt);
}

/** A waiting photo's bytes. */
export async function bytesOf(id: string): Promise<ArrayBuffer | undefined> {
	return (await open()).get('bytes', id);
}

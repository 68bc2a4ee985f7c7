import { checksumOf } from './checksumOf';
import { newId } from './newId';
import {
	bytesOf,
	changeLetter,
	dropLetter,
	type Letter,
	listLetters,
	type PhotoPlace,
	putLetter,
} from './outboxDatabase';
import { change, isInTrouble, type OutboxPhoto, outboxView, show, troubleIsOver } from './outboxView';
import { sendPhoto } from './sendPhoto';
import { Tries, type TryEnd } from './tries';

const tries = new Tries({
	alone,
	send: sendAll,
	isAnyLeft: () => nextOf() !== undefined,
	stumbled: () => isInTrouble('The browser could not read what it keeps.'),
});
let started = false;
/** Bytes of photos that the browser would not store. */
const passing = new Map<string, ArrayBuffer>();
/** The latest shot of this page, for looking at it after its bytes are sent. */
let latestShot: { readonly id: string; readonly file: File } | undefined;
let otherTabs: BroadcastChannel | undefined;

/** Take up what an earlier visit left, and send whenever there is a link. Does nothing the second time. */
export function startOutbox(): void {
	if (started) return;
	started = true;
	if (typeof BroadcastChannel !== 'undefined') {
		otherTabs = new BroadcastChannel('deckside-outbox');
		otherTabs.onmessage = () => void reload();
	}
	addEventListener('online', sendNow);
	document.addEventListener('visibilitychange', () => {
		if (document.visibilityState === 'visible') sendNow();
	});
	addEventListener('beforeunload', (event) => {
		if (outboxView().photos.some(({ lasting, state }) => !lasting && state.kind !== 'kept')) event.preventDefault();
	});
	reload().then(sendNow);
}

/**
 * Take photos in: each is stored in the browser with its checksum before it is shown as taken, then sent in order.
 *
 * @returns the letter; the earlier one where the same bytes were given for the same product; or why the file cannot be read
 */
export async function addToOutbox(
	file: File,
	place: PhotoPlace,
): Promise<OutboxPhoto | { readonly unreadable: string }> {
	let bytes: ArrayBuffer;
	try {
		bytes = await file.arrayBuffer();
	} catch {
		return { unreadable: 'The browser could not read this file. Choose it again.' };
	}
	const sha256 = await checksumOf(bytes);
	const same = outboxView().photos.find((photo) => photo.sha256 === sha256 && photo.place.product === place.product);
	if (same !== undefined && same.state.kind !== 'refused') return same;
	const letter: Letter = {
		id: place.photo,
		place: place.instead === undefined ? place : { ...place, instead: keptAs(place.instead) },
		name: file.name,
		sizeBytes: file.size,
		sha256,
		addedAt: Date.now(),
	};
	const photo = (lasting: boolean): OutboxPhoto => ({ ...letter, state: { kind: 'waiting' }, lasting });
	let taken = photo(true);
	try {
		await putLetter(letter, bytes);
	} catch {
		// storage full or forbidden: kept as long as the page is
		passing.set(letter.id, bytes);
		taken = photo(false);
	}
	latestShot = { id: taken.id, file };
	change((photos) => [...photos.filter(({ id }) => id !== taken.id), taken]);
	askForLastingStorage();
	otherTabs?.postMessage('changed');
	sendNow();
	return taken;
}

/** The file of the latest shot, where this page took it. */
export function shotOf(id: string): File | undefined {
	return latestShot?.id === id ? latestShot.file : undefined;
}

/** Try at once; a try whose link has gone quiet is ended for a new one. */
export function sendNow(): void {
	tries.now();
}

/** Send a refused photo once more. */
export async function sendAgain(id: string): Promise<void> {
	const photo = outboxView().photos.find((one) => one.id === id);
	if (photo === undefined) return;
	await sendTo(photo, photo.place);
}

/** Send a photo whose bin was removed as a quick check of its own, from where it can be kept in any bin. */
export async function sendAsQuickCheck(id: string): Promise<void> {
	const photo = outboxView().photos.find((one) => one.id === id);
	if (photo === undefined) return;
	await sendTo(photo, { photo: id, product: newId(), spread: newId(), quick: true });
}

async function sendTo(photo: OutboxPhoto, place: PhotoPlace): Promise<void> {
	const { refusal: _, placeGone: __, state: ___, lasting, ...refused } = photo;
	const letter = { ...refused, place };
	if (lasting) await changeLetter(letter);
	change((photos) =>
		photos.map((one) => (one.id === letter.id ? { ...letter, lasting, state: { kind: 'waiting' } } : one)),
	);
	sendNow();
}

/** Throw a photo away that was not sent, or take a line off the list. */
export async function discard(id: string): Promise<void> {
	passing.delete(id);
	change((photos) => photos.filter((photo) => photo.id !== id));
	await dropLetter(id).catch(() => undefined);
	otherTabs?.postMessage('changed');
}

/** One tab sends at a time where the browser can arrange it; elsewhere sending twice stores once all the same. */
function alone(work: () => Promise<void>): Promise<void> {
	if (navigator.locks === undefined) return work();
	return navigator.locks.request('deckside-outbox', work).then(() => undefined);
}

async function sendAll(): Promise<TryEnd> {
	await reload();
	for (let next = nextOf(); next !== undefined; next = nextOf()) {
		const { id } = next;
		const bytes = passing.get(id) ?? (await bytesOf(id));
		if (bytes === undefined) {
			await discard(id); // another tab has sent it
			continue;
		}
		show(id, { kind: 'sending', share: 0 });
		const outcome = await sendPhoto(next, bytes, {
			progress: (share) => {
				if (tries.carries()) troubleIsOver();
				show(id, { kind: 'sending', share });
			},
			quiet: (giveUp) => {
				tries.quiet(giveUp);
				isInTrouble('Nothing has gone through for some seconds: the link is slow or silent, or the laptop is busy.');
			},
		});
		tries.carries();
		if (outcome.kind === 'later') {
			show(id, { kind: 'waiting' });
			isInTrouble(outcome.message, outcome.mustJoin);
			return 'later';
		}
		tries.gotThrough();
		troubleIsOver();
		if (outcome.kind === 'kept') {
			passing.delete(id);
			await dropLetter(id).catch(() => undefined);
			show(id, { kind: 'kept', as: outcome.as });
			await followTo(id, outcome.as);
		} else {
			const { message: refusal, placeGone = false } = outcome;
			if (next.lasting) await changeLetter({ ...letterOf(next), refusal, placeGone });
			change((photos) => photos.map((photo) => (photo.id === id ? { ...photo, placeGone } : photo)));
			show(id, { kind: 'refused', message: outcome.message });
		}
		otherTabs?.postMessage('changed');
	}
	troubleIsOver();
	return 'allSent';
}

/** The id that the laptop has a photo under. */
function keptAs(id: string): string {
	const photo = outboxView().photos.find((one) => one.id === id);
	return photo?.state.kind === 'kept' ? photo.state.as : id;
}

/** Photos that wait and were taken instead of this one are to be taken in instead of the one that the laptop has. */
async function followTo(id: string, as: string): Promise<void> {
	if (as === id) return;
	for (const photo of outboxView().photos) {
		if (photo.place.instead !== id || photo.state.kind === 'kept') continue;
		const place = { ...photo.place, instead: as };
		if (photo.lasting) await changeLetter({ ...letterOf(photo), place });
		change((photos) => photos.map((one) => (one.id === photo.id ? { ...one, place } : one)));
	}
}

function letterOf({ state: _, lasting: __, ...letter }: OutboxPhoto): Letter {
	return letter;
}

function nextOf(): OutboxPhoto | undefined {
	return outboxView().photos.find(({ state }) => state.kind === 'waiting' || state.kind === 'sending');
}

/** Bring the view up to what the browser has stored; lines of photos kept since the page opened stay. */
async function reload(): Promise<void> {
	const stored = await listLetters().catch(() => []);
	change((photos) => {
		const known = new Map(photos.map((photo) => [photo.id, photo]));
		const gone = photos.filter(
			({ id, state, lasting }) => !stored.some((letter) => letter.id === id) && (state.kind === 'kept' || !lasting),
		);
		const there = stored.map((letter): OutboxPhoto => {
			const before = known.get(letter.id);
			if (before !== undefined && before.state.kind !== 'refused') return before;
			const { refusal } = letter;
			const state =
				refusal === undefined ? ({ kind: 'waiting' } as const) : { kind: 'refused' as const, message: refusal };
			return { ...letter, state, lasting: true };
		});
		return [...gone, ...there].sort((a, b) => a.addedAt - b.addedAt);
	});
}

/** Browsers may clear what a page stores; asked for, some promise not to. */
function askForLastingStorage(): void {
	void navigator.storage?.persist?.().catch(() => undefined);
}

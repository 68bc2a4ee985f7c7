import { NOT_JOINED } from '@/app/_http/notJoined';
import type { Letter } from './outboxDatabase';

/** What became of sending a photo once. */
export type SendOutcome =
	/** The server has it on disk under the checksum made here. `as` is another id where it had these bytes already. */
	| { readonly kind: 'kept'; readonly as: string }
	/** It will never be taken in as it is. */
	| { readonly kind: 'refused'; readonly message: string; readonly placeGone?: boolean }
	/** Not this time; it stays here and is sent again. `mustJoin`: once this device has joined again. */
	| { readonly kind: 'later'; readonly message: string; readonly mustJoin?: boolean };

/** A link that carries nothing for so long is told of, milliseconds: long for a Wi-Fi, short for who stands at the table. Chosen by eye. */
const QUIET_MS = 8000;
/** A link that carries nothing for so long is given up, milliseconds. */
const STALLED_MS = 45_000;

/** Answers about the photo: sending the same again changes nothing. */
const FINAL = [400, 413, 422];

/** What is told while a photo is sent. */
export interface SendWatch {
	/** The share sent, 0 to 1. */
	readonly progress: (share: number) => void;
	/** The link has gone quiet; `giveUp` ends this try, so that a new one can be made. */
	readonly quiet: (giveUp: () => void) => void;
}

/** Send one photo as it is, with its checksum. */
export function sendPhoto(
	{ place, name, sha256 }: Letter,
	bytes: ArrayBuffer,
	{ progress, quiet }: SendWatch,
): Promise<SendOutcome> {
	const query = new URLSearchParams({ product: place.product, spread: place.spread, name });
	if (place.instead !== undefined) query.set('instead', place.instead);
	if (place.quick) query.set('quick', 'yes');
	return new Promise((resolve) => {
		const request = new XMLHttpRequest();
		let timers: readonly ReturnType<typeof setTimeout>[] = [];
		const giveUp = () => request.abort();
		const watch = () => {
			timers.forEach(clearTimeout);
			timers = [setTimeout(() => quiet(giveUp), QUIET_MS), setTimeout(giveUp, STALLED_MS)];
		};
		const end = (outcome: SendOutcome) => {
			timers.forEach(clearTimeout);
			resolve(outcome);
		};
		request.open('PUT', `/api/photos/${place.photo}?${query}`);
		request.setRequestHeader('x-sha256', sha256);
		request.setRequestHeader('content-type', 'application/octet-stream');
		request.upload.onprogress = ({ loaded, total }) => {
			watch();
			progress(total > 0 ? loaded / total : 0);
		};
		request.onload = () => end(outcomeOf(request, sha256));
		const lost = { kind: 'later', message: 'The connection broke.' } as const;
		request.onerror = () => end(lost);
		request.onabort = () => end(lost);
		watch();
		request.send(bytes);
	});
}

function outcomeOf({ status, responseText }: XMLHttpRequest, sha256: string): SendOutcome {
	const answer = wordsOf(responseText);
	if (status === 201) {
		if (answer.sha256 === sha256 && answer.id !== undefined) return { kind: 'kept', as: answer.id };
		return { kind: 'later', message: 'The answer was not about this photo.' };
	}
	if (status === 404) {
		const message = 'The bin or run that it was taken for was removed. The photo is kept on this device.';
		return { kind: 'refused', message, placeGone: true };
	}
	if (FINAL.includes(status)) {
		const said = [answer.message, answer.hint].filter(Boolean).join(' ');
		return { kind: 'refused', message: said || 'The photo was not taken in.' };
	}
	if (status === 403 && answer.message === NOT_JOINED) {
		return { kind: 'later', message: 'The laptop does not know this device any more.', mustJoin: true };
	}
	// not what to do about it: the photo is sent again by itself
	return { kind: 'later', message: answer.message ?? 'The laptop does not answer.' };
}

function wordsOf(text: string): Partial<Record<'message' | 'hint' | 'sha256' | 'id', string>> {
	try {
		const json: unknown = JSON.parse(text);
		if (typeof json !== 'object' || json === null) return {};
		return Object.fromEntries(Object.entries(json).filter(([, value]) => typeof value === 'string'));
	} catch {
		return {}; // an answer without words
	}
}

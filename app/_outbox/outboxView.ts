import type { Letter } from './outboxDatabase';

/** A photo as pages show it. */
export interface OutboxPhoto extends Letter {
	readonly state:
		| { readonly kind: 'waiting' }
		| { readonly kind: 'sending'; readonly share: number }
		/** Acknowledged since this page was opened. `as`: another id where the laptop had these very bytes before. */
		| { readonly kind: 'kept'; readonly as: string }
		| { readonly kind: 'refused'; readonly message: string };
	/** False where the browser would not store it: it lasts only as long as the page. */
	readonly lasting: boolean;
}

/** True where the laptop had a photo's very bytes before. */
export function isTwin({ id, state }: OutboxPhoto): boolean {
	return state.kind === 'kept' && state.as !== id;
}

/** What pages show of the outbox. */
export interface OutboxView {
	readonly photos: readonly OutboxPhoto[];
	/** Why the last try failed, until one succeeds. `mustJoin`: none will before this device has joined again. */
	readonly trouble?: { readonly message: string; readonly mustJoin: boolean };
}

export const EMPTY_OUTBOX: OutboxView = { photos: [] };

let view = EMPTY_OUTBOX;
const listeners = new Set<() => void>();

export function outboxView(): OutboxView {
	return view;
}

export function watchOutbox(listener: () => void): () => void {
	listeners.add(listener);
	return () => void listeners.delete(listener);
}

export function show(id: string, state: OutboxPhoto['state']): void {
	change((photos) => photos.map((photo) => (photo.id === id ? { ...photo, state } : photo)));
}

/** Put other photos in the place of those shown. What is wrong stays told while it is tried again: nothing may move under the finger with every try. */
export function change(to: (photos: readonly OutboxPhoto[]) => readonly OutboxPhoto[]): void {
	view = { ...view, photos: to(view.photos) };
	tell();
}

/** @param mustJoin - nothing will get through before this device has joined again */
export function isInTrouble(message: string, mustJoin = false): void {
	view = { ...view, trouble: { message, mustJoin } };
	tell();
}

/** Told with whatever is shown next. */
export function troubleIsOver(): void {
	view = { photos: view.photos };
}

function tell(): void {
	for (const listener of listeners) listener();
}

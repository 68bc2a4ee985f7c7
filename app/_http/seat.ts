import { TrayError } from '@/lib/errors/TrayError';

/** Headers in which the gate tells the app who asks; whatever a client puts there is thrown away. */
export const SEAT_HEADERS = {
	seat: 'x-deckside-seat',
	device: 'x-deckside-device',
	address: 'x-deckside-address',
	encrypted: 'x-deckside-encrypted',
} as const;

/** Who asks: a person at this machine or at the yard's own computer, another device that has joined, or somebody on the network. */
export type Seat =
	| { readonly kind: 'own' }
	| { readonly kind: 'device'; readonly id: string }
	| { readonly kind: 'guest' };

/** Who asks, as the gate put it. Without a gate in front only this machine reaches the app. */
export function seatOf(headers: { get(name: string): string | null }): Seat {
	const kind = headers.get(SEAT_HEADERS.seat);
	if (kind === 'guest') return { kind };
	const id = headers.get(SEAT_HEADERS.device);
	return kind === 'device' && id !== null ? { kind, id } : { kind: 'own' };
}

/** The id of the device that asks, where it has joined; the yard's own computer has too. */
export function deviceAsking(headers: { get(name: string): string | null }): string | undefined {
	return headers.get(SEAT_HEADERS.device) ?? undefined;
}

/** The network address of who asks, as the gate saw it. */
export function addressOf(headers: { get(name: string): string | null }): string {
	return headers.get(SEAT_HEADERS.address) ?? 'this machine';
}

/** Whether a proxy in front says that it was asked over https. */
export function isEncrypted(headers: { get(name: string): string | null }): boolean {
	return headers.get(SEAT_HEADERS.encrypted) === 'yes';
}

/**
 * Refuse what only a person at this machine may do.
 *
 * @throws TrayError `not-allowed`
 */
export function needOwnSeat(headers: { get(name: string): string | null }): void {
	if (seatOf(headers).kind === 'own') return;
	const hint = 'Go to the laptop, or to the computer that joined with the office code.';
	throw new TrayError('not-allowed', 'This can only be done on the laptop itself.', hint);
}

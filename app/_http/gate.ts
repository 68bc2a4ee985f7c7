import type { IncomingHttpHeaders } from 'node:http';
import { NOT_JOINED } from './notJoined';
import { isOwnOrigin, isOwnSite, urlOf } from './ownOrigin';

/** Where a request came in: on this machine's own address, or on one that the local network reaches. */
export type Listener = 'own' | 'network';

/** A request before anything of it is believed. */
export interface Asked {
	readonly method: string;
	/** The request's target exactly as it was sent. */
	readonly target: string;
	readonly headers: IncomingHttpHeaders;
	readonly listener: Listener;
	/** True when the request carries the cookie of a device that has joined and was not forgotten. */
	readonly joined: boolean;
	/** True where sitting at this machine lets nobody in: it serves many yards, and only a device that joined says which. */
	readonly isShared?: boolean;
}

/** Why a request is refused: a status (RFC 9110) and the sentence that goes with it. */
export interface Refusal {
	readonly status: 400 | 403 | 405 | 414 | 421;
	readonly message: string;
	readonly hint: string;
	/** Where a person goes from here. */
	readonly way?: { readonly href: string; readonly label: string };
}

/** Longest target that is looked at, characters: the longest name that a file can have, percent-encoded, fits. */
const LONGEST_TARGET = 6000;

const READING = ['GET', 'HEAD'];
const CHANGING = ['POST', 'PUT', 'PATCH', 'DELETE'];

/**
 * Decide whether a request is let through to the app.
 *
 * Every request must name a host that this server answers to, so that a foreign name pointed at this machine (DNS rebinding)
 * reaches nothing. A change must come from our own page. On the network, and everywhere where many yards are served, nothing is
 * let through without a joined device, but the door itself, the program's own files and records that were made to be shown.
 *
 * @param hostNames - host names answered to on this listener, without ports, lower case
 * @returns the refusal, or undefined when the request may pass
 * @source RFC 9110 (Host, 7.2; Misdirected Request, 15.5.20), RFC 6454 (Origin), W3C Fetch Metadata Request Headers
 */
export function refusalOf(asked: Asked, hostNames: ReadonlySet<string>): Refusal | undefined {
	return (
		targetRefusal(asked.target) ??
		methodRefusal(asked.method) ??
		hostRefusal(asked.headers.host, hostNames) ??
		originRefusal(asked) ??
		strangerRefusal(asked)
	);
}

function targetRefusal(target: string): Refusal | undefined {
	if (target.length > LONGEST_TARGET) {
		return { status: 414, message: 'This address is too long.', hint: 'Give the file a shorter name.' };
	}
	const [path = ''] = target.split('?', 1);
	// what the app would read differently from what was sent is not looked at: dots, doubled and encoded separators
	const plain =
		path.startsWith('/') && !/\/\/|\\|%2f|%5c|%00/i.test(path) && urlOf(path, 'http://a')?.pathname === path;
	return plain
		? undefined
		: { status: 400, message: 'This address is not one of ours.', hint: 'Open Deckside itself.' };
}

function methodRefusal(method: string): Refusal | undefined {
	if (READING.includes(method) || CHANGING.includes(method)) return undefined;
	return { status: 405, message: 'This is not a way of asking that is known here.', hint: 'Open Deckside itself.' };
}

function hostRefusal(host: string | undefined, hostNames: ReadonlySet<string>): Refusal | undefined {
	const name = host === undefined ? undefined : hostNameOf(host);
	if (name !== undefined && hostNames.has(name)) return undefined;
	return {
		status: 421,
		message: 'Deckside does not answer to this address.',
		hint: 'Open the address that was said when it was started.',
	};
}

/** The name in a Host header, without its port; undefined for what is no host. */
function hostNameOf(host: string): string | undefined {
	if (!/^(\[[0-9a-f:.]+\]|[a-z0-9.-]+)(:\d{1,5})?$/i.test(host)) return undefined;
	return host.replace(/:\d{1,5}$/, '').toLowerCase();
}

function originRefusal({ method, headers }: Asked): Refusal | undefined {
	const refusal = {
		status: 403,
		message: 'This request came from another site.',
		hint: 'Open Deckside itself.',
	} as const;
	const fromHere = isOwnSite(headers['sec-fetch-site']);
	if (READING.includes(method)) {
		// a link on another site may lead here; another site's page may not draw from here
		const link = headers['sec-fetch-mode'] === 'navigate' && headers['sec-fetch-dest'] === 'document';
		return fromHere || link ? undefined : refusal;
	}
	return isOwnOrigin(headers.origin, headers.host) && fromHere ? undefined : refusal;
}

function strangerRefusal({ listener, joined, isShared = false, method, target }: Asked): Refusal | undefined {
	if (joined || isOpen(method, target)) return undefined;
	// whoever starts this server, or puts it behind others, asks whether it is up
	if (listener === 'own' && (!isShared || (READING.includes(method) && target === '/api/ready'))) return undefined;
	const hint = isShared ? 'Type the code of your yard' : 'Scan the code that the laptop shows under Phones, or type it';
	return {
		status: 403,
		message: NOT_JOINED,
		hint: `${hint}.`,
		way: { href: '/join', label: 'Type the code' },
	};
}

/** What a device may have before it has joined. */
function isOpen(method: string, target: string): boolean {
	const [path = ''] = target.split('?', 1);
	if (path === '/api/join') return method === 'POST';
	// server actions are changes sent to a page's address: pages are open to reading only
	if (!READING.includes(method)) return false;
	return path === '/join' || path === '/icon.svg' || path.startsWith('/_next/static/') || path.startsWith('/shared/');
}

import { askContact, noteContact } from './contact';

/** Until it is asked again whether the laptop answers this device, milliseconds. */
const AGAIN_MS = 5000;

/**
 * Ask for the page anew once the server answers this device. A page asked for while nobody does is given up by the framework for
 * the browser's own page about a lost connection, one asked for by a device that was forgotten for the refusal, and what waits on
 * it is sent no more.
 *
 * @returns ends the asking
 */
export function refreshWhenAnswered(refresh: () => void): () => void {
	let ended = false;
	let again: ReturnType<typeof setTimeout> | undefined;
	const ask = async () => {
		const readiness = await askContact();
		if (ended) return;
		if (readiness === 'answers') {
			holdPageRequests();
			refresh();
		} else again = setTimeout(ask, AGAIN_MS);
	};
	void ask();
	return () => {
		ended = true;
		clearTimeout(again);
	};
}

let areHeld = false;

/**
 * The link can be lost, and the device forgotten, just after the laptop answered: the framework's request for the page in view is
 * then made again until it is answered, since the framework gives the page up at the first failure and asks nobody.
 */
function holdPageRequests(): void {
	if (areHeld) return;
	areHeld = true;
	const send = globalThis.fetch;
	globalThis.fetch = async (input, init) => {
		const isHeld = isForPageInView(input, init);
		for (;;) {
			try {
				const answer = await send(input, init);
				if (!isHeld) return answer;
				const isRefused = answer.status === 403;
				// an answer can break off half-way, and the framework puts its page about errors in the place of what was there
				if (!isRefused) await answer.clone().arrayBuffer();
				noteContact(!isRefused);
				if (!isRefused) return answer;
			} catch (fault) {
				// what was broken off on purpose stays so
				if (!isHeld || !(fault instanceof TypeError)) throw fault;
				noteContact(false);
			}
			await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
		}
	};
}

/** By the header with which the framework asks for a page's parts; what it asks for ahead of a tap may fail. */
function isForPageInView(input: RequestInfo | URL, init: RequestInit | undefined): boolean {
	const headers = new Headers(init?.headers);
	if (!headers.has('rsc') || headers.has('next-router-prefetch')) return false;
	const { origin, pathname } = new URL(input instanceof Request ? input.url : input, location.href);
	return origin === location.origin && pathname === location.pathname;
}

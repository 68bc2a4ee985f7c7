/** Until it is asked again whether somebody answers, milliseconds. */
const AGAIN_MS = 5000;

/**
 * Ask for the page anew once the server answers. A page asked for while nobody does is given up by the framework for the browser's
 * own page about a lost connection, and what waits on it is sent no more.
 *
 * @returns ends the asking
 */
export function refreshWhenAnswered(refresh: () => void): () => void {
	let ended = false;
	let again: ReturnType<typeof setTimeout> | undefined;
	const ask = () =>
		fetch('/api/ready', { cache: 'no-store' }).then(
			() => ended || refresh(),
			() => {
				if (!ended) again = setTimeout(ask, AGAIN_MS);
			},
		);
	void ask();
	return () => {
		ended = true;
		clearTimeout(again);
	};
}

import { noteContact } from './contact';

/**
 * Listen to server-sent events while the page is in view; out of view the connection is given back, since a browser keeps only a
 * handful to one server.
 *
 * @param hear - told each event's JSON; the server sends the whole state again at every connection
 * @returns ends the listening
 */
export function listenTo<State>(address: string, hear: (state: State) => void): () => void {
	let source: EventSource | undefined;
	let ended = false;
	const follow = () => {
		if (ended || document.visibilityState === 'hidden') {
			source?.close();
			source = undefined;
			return;
		}
		// a browser gives up for good after an answer that is no stream, while the server starts for example
		if (source !== undefined && source.readyState !== EventSource.CLOSED) return;
		source = new EventSource(address);
		source.onopen = () => noteContact(true);
		source.onmessage = ({ data }) => hear(JSON.parse(data) as State);
		source.onerror = () => {
			noteContact(false);
			if (source?.readyState === EventSource.CLOSED) setTimeout(follow, 5000);
		};
	};
	follow();
	document.addEventListener('visibilitychange', follow);
	return () => {
		ended = true;
		document.removeEventListener('visibilitychange', follow);
		source?.close();
		source = undefined;
	};
}

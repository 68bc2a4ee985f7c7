/** Words that come in one burst are passed on as one, milliseconds. */
const GATHER_MS = 100;

/** A sign of life, so that phones, routers and proxies keep an idle connection open, milliseconds. */
const SIGN_OF_LIFE_MS = 20_000;

/**
 * Server-sent events: what `look` finds, at once and after every word of change, as long as the page listens.
 *
 * Each event is the whole state as JSON, so that one that was missed leaves no gap.
 *
 * @param signal - of the request; ends the stream
 * @param listen - passes on word of change; returns what ends the listening
 * @source WHATWG HTML, section 9.2, server-sent events
 */
export function eventStream(
	signal: AbortSignal,
	listen: (listener: () => void) => () => void,
	look: () => Promise<unknown>,
): Response {
	const encoder = new TextEncoder();
	let end = () => {};
	const body = new ReadableStream<Uint8Array>({
		start(controller) {
			let gathering: ReturnType<typeof setTimeout> | undefined;
			let last = '';
			let line = Promise.resolve();
			const send = (text: string) => controller.enqueue(encoder.encode(text));
			const tell = () => {
				gathering = undefined;
				line = line
					.then(async () => {
						const text = JSON.stringify(await look());
						if (text === last) return;
						last = text;
						send(`data: ${text}\n\n`);
					})
					.catch(end);
			};
			const deaf = listen(() => {
				gathering ??= setTimeout(tell, GATHER_MS);
			});
			const alive = setInterval(() => send(': here\n\n'), SIGN_OF_LIFE_MS);
			end = () => {
				end = () => {};
				deaf();
				clearTimeout(gathering);
				clearInterval(alive);
				// the other side may have closed it already
				try {
					controller.close();
				} catch {
					return;
				}
			};
			signal.addEventListener('abort', () => end(), { once: true });
			send('retry: 2000\n\n');
			tell();
		},
		cancel: () => end(),
	});
	return new Response(body, {
		headers: {
			'content-type': 'text/event-stream; charset=utf-8',
			'cache-control': 'no-store, no-transform',
			'x-accel-buffering': 'no',
		},
	});
}

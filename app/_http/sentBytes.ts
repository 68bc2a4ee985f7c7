import { Readable } from 'node:stream';
import { TrayError } from '@/lib/errors/TrayError';
import { MAX_PHOTO_BYTES } from '@/lib/photo/decode';

/** The bytes that come with a request. */
export interface SentBytes {
	/**
	 * In the pieces that they come in; who leaves off half-way leaves the connection as it is.
	 *
	 * @throws TrayError `busy` where nothing more comes
	 */
	readonly pieces: AsyncIterable<Uint8Array>;
	/** Read what is still to come, and keep nothing: a sender who is answered while still sending sees a broken connection instead. */
	throwAway(): Promise<void>;
}

/** No more than this is thrown away, bytes: who sends more is no phone with a photo. */
const MOST_THROWN_AWAY = MAX_PHOTO_BYTES;

/**
 * A sender that is silent for so long has gone, ms: a phone whose screen was locked or that left the Wi-Fi half-way says nothing, and would keep its
 * place in the line of photos from everybody else. Chosen by eye: longer than a weak link stands still.
 */
const SILENCE_MS = 30_000;

/** The body of a request, which is there to be read once. */
export function sentBytes({ body }: Request): SentBytes {
	if (body === null) return { pieces: Readable.from([]), throwAway: async () => {} };
	const stream = Readable.fromWeb(body as import('node:stream/web').ReadableStream<Uint8Array>);
	return {
		pieces: { [Symbol.asyncIterator]: () => piecesOf(stream) },
		throwAway: async () => {
			let bytes = 0;
			try {
				for await (const piece of piecesOf(stream)) {
					bytes += piece.byteLength;
					if (bytes > MOST_THROWN_AWAY) break;
				}
			} catch {
				// the sender has gone
				return;
			}
		},
	};
}

async function* piecesOf(stream: Readable): AsyncGenerator<Uint8Array> {
	const gone = () =>
		stream.destroy(new TrayError('busy', 'Nothing more came of what was sent.', 'It is sent again in a few seconds.'));
	let silent = setTimeout(gone, SILENCE_MS);
	try {
		for await (const piece of stream.iterator({ destroyOnReturn: false })) {
			clearTimeout(silent);
			yield piece;
			silent = setTimeout(gone, SILENCE_MS);
		}
	} finally {
		clearTimeout(silent);
	}
}

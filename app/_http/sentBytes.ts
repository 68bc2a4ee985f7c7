import { Readable } from 'node:stream';
import { MAX_PHOTO_BYTES } from '@/lib/photo/decode';

/** The bytes that come with a request. */
export interface SentBytes {
	/** In the pieces that they come in; who leaves off half-way leaves the connection as it is. */
	readonly pieces: AsyncIterable<Uint8Array>;
	/** Read what is still to come, and keep nothing: a sender who is answered while still sending sees a broken connection instead. */
	throwAway(): Promise<void>;
}

/** No more than this is thrown away, bytes: who sends more is no phone with a photo. */
const MOST_THROWN_AWAY = MAX_PHOTO_BYTES;

/** The body of a request, which is there to be read once. */
export function sentBytes({ body }: Request): SentBytes {
	if (body === null) return { pieces: Readable.from([]), throwAway: async () => {} };
	const stream = Readable.fromWeb(body as import('node:stream/web').ReadableStream<Uint8Array>);
	const pieces = () => stream.iterator({ destroyOnReturn: false }) as AsyncIterable<Uint8Array>;
	return {
		pieces: { [Symbol.asyncIterator]: () => pieces()[Symbol.asyncIterator]() },
		throwAway: async () => {
			let bytes = 0;
			try {
				for await (const piece of pieces()) {
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

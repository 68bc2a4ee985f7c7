import 'server-only';
import { checkPhotoHead } from '../photo/decode';
import type { Store } from './database';
import { returnLostPhoto } from './lostPhotos';
import { type KeptPhoto, keepPhoto } from './photoFiles';
import { addPhoto, photoOfProduct, setAside } from './photos';
import { getProduct } from './products';
import { getRun } from './runs';

/** A photo as sent. */
export interface SentPhoto {
	readonly id: string;
	readonly spreadId: string;
	readonly productId: string;
	readonly originalName: string;
	/** A photo of the same product that this one was taken instead of: it goes to that one's spread. */
	readonly instead?: string;
}

/**
 * Take in a photo from bytes to a place in the queue: kept whole and on disk before its row exists.
 *
 * @throws TrayError when it is not a photo, too large, damaged on its way, or its product or run is gone; nothing is kept then
 */
export async function takeInPhoto(
	store: Store,
	sent: SentPhoto,
	chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
	expectedSha256?: string,
): Promise<KeptPhoto & { readonly id: string }> {
	// into a run out of sight it would go unseen, and the phone would keep it no longer
	await getRun(store, (await getProduct(store, sent.productId)).runId);
	const kept = await keepPhoto(store.files, chunks, { expectedSha256, check: checkPhotoHead });
	const earlier = sent.instead === undefined ? undefined : await photoOfProduct(store, sent.instead, sent.productId);
	const id =
		(await returnLostPhoto(store, sent.productId, kept)) ??
		(await addPhoto(store, { ...sent, spreadId: earlier?.spreadId ?? sent.spreadId }, kept));
	if (earlier !== undefined && earlier.id !== id) await setAside(store, earlier.id);
	store.changes.announce();
	return { ...kept, id };
}

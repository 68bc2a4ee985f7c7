import { sha256 } from '@noble/hashes/sha2';
import { bytesToHex } from '@noble/hashes/utils';

/**
 * SHA-256 of a photo's bytes, lower-case hex. The browser's own is used where it gives it out: only over encrypted links and
 * on this machine itself.
 */
export async function checksumOf(bytes: ArrayBuffer): Promise<string> {
	const own = globalThis.crypto?.subtle;
	const digest = own === undefined ? sha256(new Uint8Array(bytes)) : new Uint8Array(await own.digest('SHA-256', bytes));
	return bytesToHex(digest);
}

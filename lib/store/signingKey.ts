import 'server-only';
import { createPrivateKey, createPublicKey, generateKeyPairSync, KeyObject, sign } from 'node:crypto';
import { TrayError } from '../errors/TrayError';
import type { Store } from './database';
import { sha256Of } from './sha256Of';

/** The key that records of this installation are signed with. */
export interface SigningKey {
	/** SHA-256 of the public key's DER, hex. */
	readonly fingerprint: string;
	/** DER of the public key (RFC 8410), base64. */
	readonly publicKey: string;
	readonly sign: (message: string) => string;
}

/** Shortest passphrase that a backup of the key is locked with. */
export const SHORTEST_PASSPHRASE = 10;

const KEY_NAME = 'keys/record-signing.pem';

/**
 * The installation's signing key; made when it is first asked for, readable by its owner alone.
 *
 * @throws TrayError `storage` when it lies there and cannot be read
 * @source Ed25519: RFC 8032, through node:crypto
 */
export async function signingKey(store: Store): Promise<SigningKey> {
	const kept = await store.files.read(KEY_NAME);
	// of two that make the first key at once one wins and both use it
	if (kept === undefined) await store.files.writeFirst(KEY_NAME, bytesOf(generateKeyPairSync('ed25519').privateKey));
	return keyOf(await readKey(store));
}

async function readKey(store: Store): Promise<KeyObject> {
	// trouble with the disk or the server goes through as it is: a key that can't be had at the moment may be whole
	const key = keyIn(await store.files.read(KEY_NAME));
	if (key instanceof KeyObject) return key;
	const hint = 'Take it in from its backup, or make a new one, on the page of the signing key.';
	throw new TrayError('storage', 'The signing key cannot be read.', hint, { cause: key });
}

/** The key that a file holds, or why it holds none. */
function keyIn(file: Uint8Array | undefined): unknown {
	try {
		return createPrivateKey(Buffer.from(file ?? ''));
	} catch (cause) {
		return cause;
	}
}

function bytesOf(key: KeyObject): Uint8Array {
	return Buffer.from(key.export({ type: 'pkcs8', format: 'pem' }));
}

function keyOf(privateKey: KeyObject): SigningKey {
	const der = createPublicKey(privateKey).export({ type: 'spki', format: 'der' });
	return {
		fingerprint: fingerprintOf(der),
		publicKey: der.toString('base64'),
		sign: (message) => sign(null, Buffer.from(message, 'utf8'), privateKey).toString('base64'),
	};
}

/** What a key is told by: SHA-256 of the public key's DER, hex. */
export function fingerprintOf(publicKeyDer: Uint8Array): string {
	return sha256Of(publicKeyDer);
}

/** A backup of the key: PEM locked with a passphrase. */
export async function backupOfKey(store: Store, passphrase: string): Promise<string> {
	await signingKey(store);
	return (await readKey(store)).export({ type: 'pkcs8', format: 'pem', cipher: 'aes-256-cbc', passphrase }).toString();
}

/** Put a new key in the place of the old one; records signed before still verify, by the old one's fingerprint. */
export async function replaceKey(store: Store): Promise<SigningKey> {
	return putInPlace(store, generateKeyPairSync('ed25519').privateKey);
}

/**
 * Take the key in from a backup.
 *
 * @throws TrayError `file-unreadable` when file and passphrase give no Ed25519 key
 */
export async function restoreKey(store: Store, pem: string, passphrase: string): Promise<SigningKey> {
	let key: KeyObject | undefined;
	try {
		key = createPrivateKey({ key: pem, format: 'pem', passphrase });
	} catch {
		key = undefined;
	}
	if (key?.asymmetricKeyType !== 'ed25519') {
		throw new TrayError(
			'file-unreadable',
			'This file and passphrase do not give a signing key.',
			'Choose a backup that was saved on this page and type the passphrase it was saved with.',
		);
	}
	return putInPlace(store, key);
}

async function putInPlace(store: Store, key: KeyObject): Promise<SigningKey> {
	if ((await store.files.sizeOf(KEY_NAME)) !== undefined) await keepPublicPart(store);
	await store.files.write(KEY_NAME, bytesOf(key));
	return keyOf(key);
}

const earlierName = (fingerprint: string) => `keys/${fingerprint}.earlier`;

/** The fingerprint of a replaced key stays on file, so that its records are still known as our own. */
async function keepPublicPart(store: Store): Promise<void> {
	const old = keyIn(await store.files.read(KEY_NAME));
	// nothing is known of a key that can no longer be read
	if (!(old instanceof KeyObject)) return;
	await store.files.write(earlierName(keyOf(old).fingerprint), new Uint8Array());
}

/** Whose a key is, by its fingerprint. */
export async function keyOwner(store: Store, fingerprint: string): Promise<'present' | 'earlier' | 'unknown'> {
	const isThere = (await store.files.sizeOf(KEY_NAME)) !== undefined;
	if (isThere && (await signingKey(store)).fingerprint === fingerprint) return 'present';
	return (await store.files.sizeOf(earlierName(fingerprint))) === undefined ? 'unknown' : 'earlier';
}

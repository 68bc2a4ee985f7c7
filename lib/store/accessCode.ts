import 'server-only';
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

/** Letters and digits that nobody mixes up when reading or typing: no I, L, O, 0, 1. */
const SYMBOLS = 'ABCDEFGHJKMNPQRSTUVWXYZ23456789';

/** Symbols in a code that is shown for a while and kept nowhere: 31^8, about 8.5e11 codes. */
const CODE_SYMBOLS = 8;

/** Symbols in a code that lasts and whose hash is kept: 31^16, about 7e23, past what can be tried out against the hash. */
export const LASTING_CODE_SYMBOLS = 16;

/** Symbols that stand together. */
const GROUP = 4;

/**
 * The code of this process, made afresh when the program starts or when asked for. It is never written to disk: what stays is
 * each device's own token, and that as a hash.
 */
const holder = globalThis as typeof globalThis & { decksideAccessCode?: string };

/** The code that lets a device join now, as it is shown: `K7QM-4XHD`. */
export function accessCode(): string {
	holder.decksideAccessCode ??= makeAccessCode();
	return holder.decksideAccessCode;
}

/** Make a new code; the one before lets nobody in any more. Devices that have joined stay. */
export function renewAccessCode(): void {
	holder.decksideAccessCode = makeAccessCode();
}

/** A code with every symbol equally likely, in groups of four. */
export function makeAccessCode(
	random: (bytes: number) => Uint8Array = randomBytes,
	symbols: typeof CODE_SYMBOLS | typeof LASTING_CODE_SYMBOLS = CODE_SYMBOLS,
): string {
	// bytes at and above the largest multiple are drawn again, or the first symbols would come more often
	const limit = 256 - (256 % SYMBOLS.length);
	let code = '';
	while (code.length < symbols) {
		for (const byte of random(symbols)) {
			if (byte < limit && code.length < symbols) code += SYMBOLS[byte % SYMBOLS.length];
		}
	}
	return Array.from({ length: symbols / GROUP }, (_, at) => code.slice(at * GROUP, (at + 1) * GROUP)).join('-');
}

/**
 * Whether what was typed is the code, whatever its case, blanks and dashes. Takes the same time for every wrong code: hashes of
 * one length are set against each other to the last byte.
 */
export function isAccessCode(typed: string): boolean {
	return timingSafeEqual(hashOf(typed), hashOf(accessCode()));
}

/** What is kept of a code that lasts: SHA-256 of its symbols, hex, whatever their case, blanks and dashes. */
export function accessCodeHash(code: string): string {
	return hashOf(code).toString('hex');
}

function hashOf(code: string): Buffer {
	return createHash('sha256').update(code.toUpperCase().replace(/[\s-]/g, '')).digest();
}

import 'server-only';
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

/** Letters and digits that nobody mixes up when reading or typing: no I, L, O, 0, 1. */
const SYMBOLS = 'ABCDEFGHJKMNPQRSTUVWXYZ23456789';

/** Symbols in a code: 31^8, about 8.5e11 codes. */
const CODE_SYMBOLS = 8;

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

/** A code with every symbol equally likely. */
export function makeAccessCode(random: (bytes: number) => Uint8Array = randomBytes): string {
  // bytes at and above the largest multiple are drawn again, or the first symbols would come more often
  const limit = 256 - (256 % SYMBOLS.length);
  let code = '';
  while (code.length < CODE_SYMBOLS) {
    for (const byte of random(CODE_SYMBOLS)) {
      if (byte < limit && code.length < CODE_SYMBOLS) code += SYMBOLS[byte % SYMBOLS.length];
    }
  }
  return `${code.slice(0, CODE_SYMBOLS / 2)}-${code.slice(CODE_SYMBOLS / 2)}`;
}

/**
 * Whether what was typed is the code, whatever its case, blanks and dashes. Takes the same time for every wrong code: hashes of
 * one length are set against each other to the last byte.
 */
export function isAccessCode(typed: string, code = accessCode()): boolean {
  return timingSafeEqual(hashOf(typed), hashOf(code));
}

function hashOf(code: string): Uint8Array {
  return createHash('sha256').update(code.toUpperCase().replace(/[\s-]/g, '')).digest();
}

import { createHash } from 'node:crypto';
import { afterEach, expect, test, vi } from 'vitest';
import { checksumOf } from '@/app/_outbox/checksumOf';
import { newId } from '@/app/_outbox/newId';
import published from '../reference/sha256.json';

afterEach(() => vi.unstubAllGlobals());

test.each(published.vectors)('a checksum is SHA-256: "$text"', async ({ text, sha256 }) => {
	const bytes = new TextEncoder().encode(text).buffer;
	expect(await checksumOf(bytes)).toBe(sha256);
	// a page that came over plain http has no checksums of the browser's own
	vi.stubGlobal('crypto', {});
	expect(await checksumOf(bytes)).toBe(sha256);
});

test('large photos have the checksum that the server works out', async () => {
	const bytes = new Uint8Array(1_000_003).map((_, i) => (i * 7919) % 251);
	vi.stubGlobal('crypto', {});
	expect(await checksumOf(bytes.buffer)).toBe(createHash('sha256').update(bytes).digest('hex'));
});

test('ids are random ids of version 4', () => {
	const ids = Array.from({ length: 50 }, newId);
	for (const id of ids) expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
	expect(new Set(ids).size).toBe(50);
});

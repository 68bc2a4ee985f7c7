import { createHash } from 'node:crypto';
import { afterEach, expect, onTestFinished, test, vi } from 'vitest';
import { checksumOf } from '@/app/_outbox/checksumOf';
import { newId } from '@/app/_outbox/newId';
import { addToOutbox, sendNow } from '@/app/_outbox/outbox';
import { outboxView } from '@/app/_outbox/outboxView';
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

/** Stands for the browser's request: what the link does is said by the test. */
class Link {
	static last: Link;
	readonly upload: { onprogress?: (event: { loaded: number; total: number }) => void } = {};
	onabort = () => {};
	onload = () => {};
	status = 0;
	responseText = '';
	constructor() {
		Link.last = this;
	}
	open() {}
	setRequestHeader() {}
	send() {}
	abort() {
		this.onabort();
	}
}

test('a link that goes quiet is told of within ten seconds, no more once it carries again, and a new try can be asked for', async () => {
	vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
	onTestFinished(() => void vi.useRealTimers());
	vi.stubGlobal('navigator', {});
	vi.stubGlobal('XMLHttpRequest', Link);
	const place = { photo: newId(), product: newId(), spread: newId() };
	await addToOutbox(new File(['bytes'], 'photo.jpg'), place);
	const isSent = () => expect(outboxView().photos).toMatchObject([{ state: { kind: 'sending' } }]);
	await vi.waitFor(isSent);
	const first = Link.last;
	expect(outboxView().trouble).toBeUndefined();
	vi.advanceTimersByTime(10_000);
	expect(outboxView().trouble?.message).toMatch(/the link is slow or silent/);
	first.upload.onprogress?.({ loaded: 2, total: 5 });
	expect(outboxView()).toMatchObject({ photos: [{ state: { share: 0.4 } }] });
	expect(outboxView().trouble).toBeUndefined();

	vi.advanceTimersByTime(10_000);
	sendNow();
	await vi.waitFor(() => expect(outboxView().photos).toMatchObject([{ state: { kind: 'waiting' } }]));
	vi.advanceTimersByTime(1000);
	await vi.waitFor(isSent);
	expect(Link.last).not.toBe(first);
	const sha256 = createHash('sha256').update('bytes').digest('hex');
	Object.assign(Link.last, { status: 201, responseText: JSON.stringify({ id: place.photo, sha256 }) });
	Link.last.onload();
	await vi.waitFor(() => expect(outboxView().photos).toMatchObject([{ state: { kind: 'kept' } }]));
	expect(outboxView().trouble).toBeUndefined();
});

import 'server-only';
import { readFile, rm } from 'node:fs/promises';
import { setTimeout as wait } from 'node:timers/promises';
import { AwsV4Signer } from 'aws4fetch';
import type { Files } from './files';
import type { ObjectPlace } from './objectPlace';
import { sha256Of } from './sha256Of';
import { storageError } from './storageFault';

/** How long a store of objects is waited for. */
interface Patience {
	/** How long one request may take, its bytes included, ms. */
	readonly requestMs: number;
	/** Waits before a request is made again that the store could not answer just now, ms. Asking twice for the same changes nothing. */
	readonly waitsMs: readonly number[];
}

/** The largest photo over a slow line of a server; a store that starts anew is back in a second. Chosen by eye. */
const PATIENCE: Patience = { requestMs: 30_000, waitsMs: [200, 1000] };

/** A header in which an object carries the checksum of its bytes. */
const CHECKSUM = 'x-amz-meta-sha256';

/**
 * Files in a store of objects, under the yard's name. An object is there whole or not at all: the checksum of its bytes is part of
 * the signature, and what arrives otherwise is refused by the store.
 *
 * @param place - the bucket and the key to it
 * @param yardId - goes before every name
 * @param passing - a folder of this machine
 * @source Amazon S3 API Reference (GetObject, HeadObject, HeadBucket, PutObject, ListObjectsV2); Signature Version 4 through aws4fetch
 */
export function objectFiles(place: ObjectPlace, yardId: string, passing: string, patience = PATIENCE): Files {
	const ask = asking(place, patience);
	const pathOf = (name: string) => `/${keyOf(yardId, name)}`;

	async function put(name: string, bytes: Uint8Array, condition: Record<string, string> = {}): Promise<Answer> {
		return ask('PUT', pathOf(name), bytes, { ...condition, [CHECKSUM]: sha256Of(bytes) });
	}

	async function write(name: string, bytes: Uint8Array): Promise<void> {
		needDone(await put(name, bytes));
	}

	return {
		passing,
		// what is no longer what was written is as good as gone, and is made again; whoever reads a photo compares it with its name
		read: async (name) => {
			const answer = await ask('GET', pathOf(name));
			if (isMissing(answer)) return undefined;
			needDone(answer);
			const said = answer.headers.get(CHECKSUM);
			const isSame = said === null || said === sha256Of(answer.bytes);
			return isSame || name.startsWith('photos/') ? answer.bytes : undefined;
		},
		sizeOf: async (name) => {
			const answer = await ask('HEAD', pathOf(name));
			if (answer.status === 404) return undefined;
			needDone(answer);
			return Number(answer.headers.get('content-length'));
		},
		write,
		writeFirst: async (name, bytes) => {
			const answer = await put(name, bytes, { 'if-none-match': '*' });
			if (answer.status === 412 || answer.status === 409) return false;
			needDone(answer);
			return true;
		},
		moveIn: async (name, passingFile) => {
			await write(name, await readFile(passingFile));
			await rm(passingFile, { force: true });
		},
		list: async (beginning) => {
			const prefix = `${yardId}/`;
			const names: string[] = [];
			let next: string | undefined;
			do {
				const query = new URLSearchParams({ 'list-type': '2', 'encoding-type': 'url', prefix: prefix + beginning });
				if (next !== undefined) query.set('continuation-token', next);
				const page = new TextDecoder().decode(needDone(await ask('GET', `?${query}`)).bytes);
				for (const [, key = ''] of page.matchAll(/<Key>([^<]*)<\/Key>/g)) names.push(plain(key).slice(prefix.length));
				next = /<NextContinuationToken>([^<]*)<\/NextContinuationToken>/.exec(page)?.[1];
			} while (next !== undefined);
			return names.sort();
		},
	};
}

/**
 * Make sure that the bucket is there and lets this program in. A store that is away for now is noted and gone on: what does not
 * need it works.
 *
 * @throws TrayError `storage` where the settings are wrong
 */
export async function tryObjectPlace(place: ObjectPlace, patience = PATIENCE): Promise<void> {
	const answer = await asking(place, patience)('HEAD', '').catch((error: unknown) => error);
	if (answer instanceof Error) console.error(answer.message);
	else needDone(answer as Answer); // what is no error is the answer
}

/** Names are made by this program and hold nothing that could lead elsewhere. */
function keyOf(yardId: string, name: string): string {
	const key = `${yardId}/${name}`;
	if (/^[a-z0-9-]{1,60}(\/[A-Za-z0-9_][A-Za-z0-9_.-]*){2,4}$/.test(key)) return key;
	throw new TypeError(`"${name}" is no name of a file`);
}

/** Keys are listed percent-encoded, so that nothing else in them needs decoding. */
function plain(key: string): string {
	return decodeURIComponent(key.replaceAll('+', ' '));
}

interface Answer {
	readonly status: number;
	readonly headers: Headers;
	readonly bytes: Uint8Array<ArrayBuffer>;
}

type Ask = (
	method: string,
	path: string,
	body?: Uint8Array,
	headers?: Readonly<Record<string, string>>,
) => Promise<Answer>;

function asking({ url, ...place }: ObjectPlace, { requestMs, waitsMs }: Patience): Ask {
	return async (method, path, body, headers = {}) => {
		for (let tries = 0; ; tries++) {
			const answer = await askOnce({ method, url: url + path, headers, ...(body === undefined ? {} : { body }) });
			const isLast = tries === waitsMs.length;
			if (answer instanceof Error) {
				// who did not answer in time will not do so in half a second
				if (isLast || answer.name === 'TimeoutError') throw storageError('files-away', answer);
			} else if (answer.status < 500 && answer.status !== 429) return answer;
			else if (isLast) throw storageError('files-away', new Error(`the store answered ${answer.status}`));
			await wait(waitsMs[tries]);
		}
	};

	async function askOnce(asked: {
		readonly method: string;
		readonly url: string;
		readonly headers: Readonly<Record<string, string>>;
		readonly body?: Uint8Array;
	}): Promise<Answer | Error> {
		const headers = { ...asked.headers, 'x-amz-content-sha256': sha256Of(asked.body ?? new Uint8Array()) };
		const signed = await new AwsV4Signer({ ...asked, ...place, body: null, headers, service: 's3' }).sign();
		try {
			const answer = await fetch(signed.url, {
				method: signed.method,
				headers: signed.headers,
				body: asked.body === undefined ? null : Uint8Array.from(asked.body),
				redirect: 'error',
				signal: AbortSignal.timeout(requestMs),
			});
			const bytes = new Uint8Array(await answer.arrayBuffer());
			return { status: answer.status, headers: answer.headers, bytes };
		} catch (error) {
			return error instanceof Error ? error : new Error(String(error));
		}
	}
}

/** A missing object and a missing bucket have the same status. */
function isMissing({ status, bytes }: Answer): boolean {
	return status === 404 && !new TextDecoder().decode(bytes).includes('NoSuchBucket');
}

/** @throws TrayError `storage` where the store refused */
function needDone(answer: Answer): Answer {
	if (answer.status >= 200 && answer.status < 300) return answer;
	const said = new TextDecoder().decode(answer.bytes.subarray(0, 500));
	throw storageError('files-barred', new Error(`the store answered ${answer.status}: ${said}`));
}

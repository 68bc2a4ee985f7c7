import { createHash, createHmac } from 'node:crypto';
import { once } from 'node:events';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { onTestFinished } from 'vitest';
import type { ObjectPlace } from '@/lib/store/objectPlace';

/** What a signature is worked out from. */
export interface SignedRequest {
	readonly method: string;
	/** As it was sent. */
	readonly target: string;
	/** Those that are signed, names in lower case, `host` among them. */
	readonly headers: Readonly<Record<string, string>>;
	readonly bodySha256: string;
	/** `20130524T000000Z` */
	readonly date: string;
}

/**
 * Signature Version 4 of a request, hex; written from its description, apart from the client that is tested against it.
 *
 * @source Amazon S3 API Reference, "Signature Calculations for the Authorization Header"; held to its examples
 */
export function signatureOf(
	{ method, target, headers, bodySha256, date }: SignedRequest,
	{ secretAccessKey, region }: Pick<ObjectPlace, 'secretAccessKey' | 'region'>,
): string {
	const [path = '', query = ''] = target.split('?');
	const names = Object.keys(headers).sort();
	const canonical = [
		method,
		path,
		query
			.split('&')
			.map((pair) => (pair === '' || pair.includes('=') ? pair : `${pair}=`))
			.sort()
			.join('&'),
		...names.map((name) => `${name}:${headers[name]?.trim().replace(/\s+/g, ' ')}`),
		'',
		names.join(';'),
		bodySha256,
	].join('\n');
	const day = date.slice(0, 8);
	const scope = `${day}/${region}/s3/aws4_request`;
	const text = ['AWS4-HMAC-SHA256', date, scope, sha256Of(canonical)].join('\n');
	const key = [day, region, 's3', 'aws4_request'].reduce(
		(made: string | Buffer, part) => createHmac('sha256', made).update(part).digest(),
		`AWS4${secretAccessKey}`,
	);
	return createHmac('sha256', key).update(text).digest('hex');
}

export function sha256Of(bytes: string | Uint8Array): string {
	return createHash('sha256').update(bytes).digest('hex');
}

/** What can be wrong with a store of objects for a while. */
type Mood = 'well' | 'away' | 'silent' | 'ailing' | 'cut short' | 'full';

interface KeptObject {
	bytes: Buffer;
	readonly meta: Readonly<Record<string, string>>;
}

/** A small store of objects that speaks the part of the S3 protocol that is used, over real connections, and checks every signature. */
export interface ObjectServer {
	readonly place: ObjectPlace;
	/** By key, as kept. */
	readonly objects: Map<string, KeptObject>;
	/** How the store behaves from now on, or after so many more requests; with `times`, for so many requests. */
	be(mood: Mood, more?: { readonly times?: number; readonly after?: number }): void;
	/** Requests that came so far. */
	asked(): number;
}

/** Keys of a list are handed out in pages of so many. */
const PAGE = 3;

export async function startObjectServer(): Promise<ObjectServer> {
	const objects = new Map<string, KeptObject>();
	let [mood, from, until, count]: [Mood, number, number, number] = ['well', 0, Number.POSITIVE_INFINITY, 0];
	const server = createServer((request, response) => {
		const now = count >= from && count < until ? mood : 'well';
		count++;
		if (now === 'away') return request.destroy();
		if (now === 'silent') return;
		answer(request, response, now).catch((error: unknown) => {
			console.error(error);
			response.destroy();
		});
	});
	server.listen(0, '127.0.0.1');
	await once(server, 'listening');
	onTestFinished(() => {
		server.close();
		server.closeAllConnections();
	});
	const address = server.address();
	const port = address !== null && typeof address === 'object' ? address.port : 0;
	const place = {
		url: `http://127.0.0.1:${port}/photos-bucket`,
		region: 'eu-north-1',
		accessKeyId: 'invented-key',
		secretAccessKey: 'invented/secret+of=letters',
	};

	async function answer(request: IncomingMessage, response: ServerResponse, now: Mood): Promise<void> {
		const pieces: Buffer[] = [];
		for await (const piece of request) pieces.push(piece);
		const body = Buffer.concat(pieces);
		const refuse = (status: number, code: string) =>
			void response.writeHead(status, { 'content-type': 'application/xml' }).end(`<Error><Code>${code}</Code></Error>`);
		if (now === 'ailing') return refuse(503, 'SlowDown');
		if (now === 'full') return refuse(507, 'InsufficientStorage');
		const trouble = troubleOf(request, body, place);
		if (trouble !== undefined) return refuse(403, trouble);
		const { pathname, searchParams } = new URL(request.url ?? '', place.url);
		const [, bucket, ...rest] = pathname.split('/');
		if (bucket !== 'photos-bucket') return refuse(404, 'NoSuchBucket');
		const key = rest.join('/');
		if (key === '') return void response.end(listOf(objects, searchParams));
		const kept = objects.get(key);
		if (request.method === 'PUT') {
			if (request.headers['if-none-match'] === '*' && kept !== undefined) return refuse(412, 'PreconditionFailed');
			const meta = Object.entries(request.headers).filter(([name]) => name.startsWith('x-amz-meta-'));
			objects.set(key, { bytes: body, meta: Object.fromEntries(meta) as Record<string, string> });
			return void response.end();
		}
		if (kept === undefined) return refuse(404, 'NoSuchKey');
		response.writeHead(200, { ...kept.meta, 'content-length': kept.bytes.byteLength });
		if (request.method === 'HEAD') return void response.end();
		if (now !== 'cut short') return void response.end(kept.bytes);
		response.write(kept.bytes.subarray(0, kept.bytes.byteLength / 2), () => response.destroy());
	}

	return {
		place,
		objects,
		be: (next, { times = Number.POSITIVE_INFINITY, after = 0 } = {}) => {
			[mood, from, until] = [next, count + after, count + after + times];
		},
		asked: () => count,
	};
}

/** The code of what is wrong with a request's signature. */
function troubleOf(request: IncomingMessage, body: Uint8Array, place: ObjectPlace): string | undefined {
	const said = /^AWS4-HMAC-SHA256 Credential=([^/]+)\/(\S+), SignedHeaders=(\S+), Signature=([0-9a-f]{64})$/.exec(
		request.headers.authorization ?? '',
	);
	if (said === null) return 'AccessDenied';
	const [, keyId, scope, names = '', signature] = said;
	const { 'x-amz-date': date, 'x-amz-content-sha256': bodySha256 } = request.headers;
	if (typeof date !== 'string' || typeof bodySha256 !== 'string') return 'AccessDenied';
	if (keyId !== place.accessKeyId) return 'InvalidAccessKeyId';
	if (scope !== `${date.slice(0, 8)}/${place.region}/s3/aws4_request`) return 'AuthorizationHeaderMalformed';
	const signed = names.split(';');
	// what is kept or decides must be signed
	const must = Object.keys(request.headers).filter((name) => name === 'host' || name.startsWith('x-amz-'));
	if (must.some((name) => !signed.includes(name))) return 'AccessDenied';
	const headers = Object.fromEntries(signed.map((name) => [name, String(request.headers[name])]));
	const asked = { method: request.method ?? '', target: request.url ?? '', headers, bodySha256, date };
	if (signatureOf(asked, place) !== signature) return 'SignatureDoesNotMatch';
	return sha256Of(body) === bodySha256 ? undefined : 'XAmzContentSHA256Mismatch';
}

function listOf(objects: ReadonlyMap<string, KeptObject>, asked: URLSearchParams): string {
	const after = asked.get('continuation-token') ?? '';
	const found = [...objects.keys()].filter((key) => key.startsWith(asked.get('prefix') ?? '') && key > after).sort();
	const page = found.slice(0, PAGE);
	const next = found.length > PAGE ? `<NextContinuationToken>${page.at(-1)}</NextContinuationToken>` : '';
	const keys = page.map((key) => `<Contents><Key>${encodeURIComponent(key)}</Key></Contents>`).join('');
	return `<?xml version="1.0"?><ListBucketResult>${next}${keys}</ListBucketResult>`;
}

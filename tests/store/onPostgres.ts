import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { Client } from 'pg';
import { openPostgres } from '../../lib/store/postgres';
import { addressOf, SHARED, startPostgres, TEMPLATE } from './postgresServer';

/** Runs the tests of the store on a PostgreSQL server that is started for them; arguments go on to the test runner. */
const server = await startPostgres();
try {
	await makeDatabases();
	const given = [
		'node_modules/vitest/vitest.mjs',
		'run',
		'--config',
		'tests/vitest.config.ts',
		...process.argv.slice(2),
	];
	const env = { ...process.env, TEST_DATABASE_URL: server.url };
	const tests = spawn(process.execPath, given, { stdio: 'inherit', env });
	const [code] = await once(tests, 'exit');
	process.exitCode = code ?? 1;
} finally {
	await server.stop();
}

/** Tables are made once: tests share one database, and those about databases copy the other. */
async function makeDatabases(): Promise<void> {
	const client = new Client({ connectionString: server.url });
	await client.connect();
	await client.query(`create database ${TEMPLATE}`);
	await (await openPostgres(addressOf(server.url, TEMPLATE))).close();
	await client.query(`create database ${SHARED} template ${TEMPLATE}`);
	await client.end();
}

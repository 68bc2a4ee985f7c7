import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { Client } from 'pg';
import { expect, onTestFinished, test, vi } from 'vitest';
import { startPostgres } from './postgresServer';

/** What a server of the tests says to somebody who comes. */
async function answerOf(url: string): Promise<unknown> {
	const client = new Client({ connectionString: url, connectionTimeoutMillis: 2000 });
	// a line that the server's end breaks is told by the statement
	client.on('error', () => undefined);
	try {
		await client.connect();
		return (await client.query('select 1 as one')).rows[0];
	} finally {
		await client.end();
	}
}

test('a server of the tests stops with the program that started it, killed or not', async () => {
	const words = ['--conditions=react-server', '--import', 'tsx', 'tests/store/holdPostgres.ts'];
	const holder = spawn(process.execPath, words, { stdio: ['ignore', 'pipe', 'inherit'] });
	onTestFinished(() => void holder.kill('SIGKILL'));
	const [url] = (await once(createInterface({ input: holder.stdout }), 'line')) as [string];
	expect(await answerOf(url)).toEqual({ one: 1 });
	holder.kill('SIGKILL');
	await vi.waitFor(() => expect(answerOf(url)).rejects.toThrow(), { timeout: 60_000 });
});

test('a server that is stopped may be stopped again', async () => {
	const server = await startPostgres();
	onTestFinished(server.stop);
	expect(await answerOf(server.url)).toEqual({ one: 1 });
	await server.stop();
	await expect(answerOf(server.url)).rejects.toThrow();
	await server.stop();
});

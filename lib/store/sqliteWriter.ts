import 'server-only';
import { Worker } from 'node:worker_threads';
import type { QueryResult } from 'kysely';
import { storageError } from './storageFault';

/** Has one statement carried out in the thread that writes. Those asked one after the other are carried out in that order. */
export type AskWriter = (text: string, parameters: readonly unknown[]) => Promise<QueryResult<unknown>>;

/** The writing of one database, in a thread of its own. */
export interface SqliteWriter {
	/** Asks the thread as it is now. Should it break off, what was asked fails, and so does all that is asked by the same function: half a transaction must not go on in another thread. */
	ask(): AskWriter;
	close(): Promise<void>;
}

interface Waiting {
	readonly done: (result: QueryResult<unknown>) => void;
	readonly failed: (error: unknown) => void;
}

interface WritingThread {
	readonly ask: (text?: string, parameters?: readonly unknown[]) => Promise<QueryResult<unknown>>;
	readonly end: () => Promise<unknown>;
}

type Reply =
	| { readonly ok: true; readonly value: QueryResult<unknown> }
	| { readonly ok: false; readonly message: string; readonly code?: string };

/**
 * Start the writing of a database; its thread begins with the first statement.
 *
 * @param file - the database, which is there and up to date
 * @param busyMs - how long a statement waits for another program's lock, ms
 */
export function startWriter(file: string, busyMs: number): SqliteWriter {
	let thread: WritingThread | undefined;
	const current = () => {
		thread ??= startThread(file, busyMs, () => {
			thread = undefined;
		});
		return thread;
	};
	return {
		ask: () => current().ask,
		close: async () => {
			const last = thread;
			if (last === undefined) return;
			await last.ask();
			await last.end();
		},
	};
}

function startThread(file: string, busyMs: number, gone: () => void): WritingThread {
	const worker = new Worker(new URL('./writingThread.mjs', import.meta.url), { workerData: { file, busyMs } });
	const waiting: Waiting[] = [];
	let broken: unknown;
	const breakOff = (cause: unknown) => {
		broken ??= cause;
		gone();
		for (const { failed } of waiting.splice(0)) failed(broken);
	};
	worker.on('message', (reply: Reply) => {
		const first = waiting.shift();
		// nobody waits, so nothing holds the program up
		if (waiting.length === 0) worker.unref();
		if (reply.ok) first?.done(reply.value);
		else first?.failed(Object.assign(new Error(reply.message), { code: reply.code }));
	});
	worker.on('error', breakOff);
	worker.on('exit', (code) => breakOff(storageError('unreachable', `the thread that writes left with code ${code}`)));
	return {
		ask: (text, parameters) =>
			new Promise((done, failed) => {
				if (broken !== undefined) return failed(broken);
				worker.postMessage({ text, parameters });
				worker.ref();
				waiting.push({ done, failed });
			}),
		end: () => worker.terminate(),
	};
}

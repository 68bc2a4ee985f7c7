import 'server-only';
import type { Worker } from 'node:worker_threads';
import { startAnalysisPool } from './analysisPool';
import { SIGN_MS } from './photoJobs';
import { startReader } from './photoReader';
import { openPostgres } from './postgres';
import { practiseLater } from './practice';
import { sharedJobs } from './sharedJobs';

/** A program that reads the photos of all yards of a database, beside any number of others. */
export interface PhotoWorker {
	/** Put back what is half-read and leave. */
	close(): Promise<void>;
}

/**
 * Start reading. It hears of new photos at once, looks by itself now and then, and takes over from workers that are gone.
 *
 * @param url - of the PostgreSQL database
 * @param newThread - starts a thread with analysisWorker.ts
 * @param size - photos read at a time; as many as the machine has cores, two at most, unless said
 * @throws TrayError `storage` when the database cannot be reached
 */
export async function startPhotoWorker(url: string, newThread: () => Worker, size?: number): Promise<PhotoWorker> {
	const yards = await openPostgres(url);
	const pool = startAnalysisPool(size, newThread);
	const reader = await startReader(sharedJobs(yards), pool);
	await yards.line.start();
	const deaf = yards.listen(reader.wake);
	const signs = setInterval(() => {
		reader
			.holdOn()
			.then(reader.wake)
			.catch((error: unknown) => console.error('The database does not answer:', error));
	}, SIGN_MS);
	reader.wake();
	const noPractice = practiseLater(pool);
	return {
		close: async () => {
			clearInterval(signs);
			noPractice();
			deaf();
			await reader.leave();
			await pool.close();
			await yards.close();
		},
	};
}

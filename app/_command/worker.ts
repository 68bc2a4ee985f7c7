import { Worker } from 'node:worker_threads';
import { toldOf } from '@/lib/errors/TrayError';
import { startPhotoWorker } from '@/lib/store/photoWorker';
import { letEngineYield } from '@/lib/store/priority';

const newThread = () => new Worker(new URL('./workerThread.mjs', import.meta.url));
const url = process.env.DATABASE_URL;
const [given, ...more] = process.argv.slice(2);
const size = given === undefined ? undefined : Number(given);

if (url === undefined || more.length > 0 || !(size === undefined || (Number.isInteger(size) && size >= 1))) {
	console.error('DATABASE_URL=postgres://... npm run worker [-- PHOTOS_AT_A_TIME]');
	process.exitCode = 2;
} else {
	letEngineYield();
	try {
		const worker = await startPhotoWorker(url, newThread, size);
		console.log('Reading photos as they come. Stop it with Ctrl+C.');
		for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void worker.close());
	} catch (trouble) {
		console.error(toldOf(trouble));
		process.exitCode = 1;
	}
}

import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { TrayError, type TrayErrorCode } from '@/lib/errors/TrayError';
import type { PhotoRequest } from '@/lib/report/photoFile';
import type { PixelModel } from '@/lib/segmentation/pixelModel';
import { type FileReading, type ReadingOrder, readRequest } from './readRequest';

/** What a reading thread answers; errors cross as plain words. */
export type ReadingReply =
	| { readonly reading: FileReading }
	| { readonly refused: { readonly code: TrayErrorCode; readonly message: string; readonly hint: string } };

/** Reads photos, several at a time where that pays. */
export interface PhotoReaders {
	/** Begin on photos that will be asked for. */
	begin(requests: readonly PhotoRequest[]): void;
	/** @throws TrayError with a sentence for the person who took the photo */
	read(request: PhotoRequest): Promise<FileReading>;
}

const THREADS = Math.min(2, availableParallelism());
/** Fewer photos are read sooner without starting threads: a thread takes about as long to start as a photo by thresholds. */
const LEAST_PHOTOS = { model: 2, threshold: 4 } as const;

/** Readers of one command's photos. */
export function startReaders(order: ReadingOrder, model: PixelModel | undefined): PhotoReaders {
	const begun = new Map<PhotoRequest, Promise<FileReading>>();
	return {
		begin(all) {
			const requests = all.filter((request) => !begun.has(request));
			const least = LEAST_PHOTOS[model === undefined ? 'threshold' : 'model'];
			if (THREADS < 2 || requests.length < least) return;
			for (const [request, reading] of onThreads(requests, order)) {
				// whoever asks for it hears of a refusal
				reading.catch(() => undefined);
				begun.set(request, reading);
			}
		},
		read: (request) => begun.get(request) ?? readRequest(request, order, model),
	};
}

/** All photos on threads that leave when none is left. */
function onThreads(
	requests: readonly PhotoRequest[],
	order: ReadingOrder,
): ReadonlyMap<PhotoRequest, Promise<FileReading>> {
	const waiting: { request: PhotoRequest; done: (reply: ReadingReply) => void; failed: (error: unknown) => void }[] =
		[];
	const readings = new Map(
		requests.map((request) => [
			request,
			new Promise<FileReading>((resolve, reject) => {
				const done = (reply: ReadingReply) => {
					if ('reading' in reply) resolve(reply.reading);
					else reject(new TrayError(reply.refused.code, reply.refused.message, reply.refused.hint));
				};
				waiting.push({ request, done, failed: reject });
			}),
		]),
	);
	for (let thread = 0; thread < THREADS; thread++) {
		const worker = new Worker(new URL('./readingThread.mjs', import.meta.url), { workerData: order });
		let busy = waiting.shift();
		const next = () => {
			if (busy === undefined) void worker.terminate();
			else worker.postMessage(busy.request);
		};
		worker.on('message', (reply: ReadingReply) => {
			busy?.done(reply);
			busy = waiting.shift();
			next();
		});
		worker.on('error', (error) => {
			for (const left of [busy, ...waiting.splice(0)]) left?.failed(error);
		});
		next();
	}
	return readings;
}

import { parentPort, workerData } from 'node:worker_threads';
import { TrayError } from '@/lib/errors/TrayError';
import type { PhotoRequest } from '@/lib/report/photoFile';
import { openPixelModel } from '@/lib/segmentation/modelFiles';
import type { ReadingReply } from './photoReaders';
import { type ReadingOrder, readRequest } from './readRequest';

// sent by photoReaders.ts
const order = workerData as ReadingOrder;
const opened = order.method === 'threshold' ? undefined : openPixelModel();

parentPort?.on('message', async (request: PhotoRequest) => {
	parentPort?.postMessage(await answer(request));
});

async function answer(request: PhotoRequest): Promise<ReadingReply> {
	try {
		return { reading: await readRequest(request, order, (await opened)?.model) };
	} catch (trouble) {
		if (!(trouble instanceof TrayError)) throw trouble;
		return { refused: { code: trouble.code, message: trouble.message, hint: trouble.hint } };
	}
}

import { z } from 'zod';
import { answerErrors } from '@/app/_http/answerErrors';
import { TrayError } from '@/lib/errors/TrayError';
import { MODEL_FOLDER, modelSource } from '@/lib/segmentation/modelFiles';

const FILES = z.enum(['model.json', 'weights.bin', 'checksum']);

/** The pixel model's files for the browser, unpacked: over plain http browsers take no Brotli. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/api/model/[file]'>) => {
	const file = FILES.safeParse((await context.params).file);
	if (!file.success) throw new TrayError('not-found', 'The pixel model has no such file.', 'Load the page again.');
	const { modelJson, weights, checksum } = await modelSource(MODEL_FOLDER).catch((cause: unknown) => {
		throw new TrayError(
			'not-found',
			'The files of the pixel model are missing.',
			'Colour thresholds judge the photos.',
			{
				cause,
			},
		);
	});
	const body = { 'model.json': modelJson, 'weights.bin': weights, checksum }[file.data];
	return new Response(typeof body === 'string' ? body : new Uint8Array(body), {
		headers: { 'content-type': 'application/octet-stream', 'cache-control': 'private, no-cache', vary: 'cookie' },
	});
});

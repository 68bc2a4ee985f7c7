import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { piecePictureOf } from '@/lib/store/piecePictures';
import { theStore } from '@/lib/store/theStore';

/** Outlines, sizes and rough masses of the pieces on a photo; 404 until it is graded. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/api/photos/[photoId]/pieces'>) => {
	const { photoId } = await context.params;
	const { store, pool } = await theStore();
	const json = await piecePictureOf(store, pool, idOf(photoId));
	return new Response(Buffer.from(json), {
		headers: { 'content-type': 'application/json', 'cache-control': 'private, no-cache' },
	});
});

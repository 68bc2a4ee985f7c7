import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { getPhoto } from '@/lib/store/photos';
import { sizeOf } from '@/lib/store/pictures';
import { theStore } from '@/lib/store/theStore';

/** Width and height of the upright photo, pixels. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/api/photos/[photoId]/size'>) => {
	const { photoId } = await context.params;
	const { store } = await theStore();
	const { sha256 } = await getPhoto(store, idOf(photoId));
	return Response.json(await sizeOf(store, sha256));
});

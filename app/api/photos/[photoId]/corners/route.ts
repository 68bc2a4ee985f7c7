import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { getPhoto } from '@/lib/store/photos';
import { trayCornersOf } from '@/lib/store/pictures';
import { theStore } from '@/lib/store/theStore';

/** A plain tray's corners as its rim suggests them, pixels of the upright photo; none when it isn't clear. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/api/photos/[photoId]/corners'>) => {
	const { photoId } = await context.params;
	const { store } = await theStore();
	const { sha256 } = await getPhoto(store, idOf(photoId));
	const corners = await trayCornersOf(store, sha256);
	return Response.json(corners === undefined ? {} : { corners });
});

import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { getPhoto } from '@/lib/store/photos';
import { PREVIEW_SIDE_PX, previewOf, THUMBNAIL_SIDE_PX, WHOLE_SIDE_PX } from '@/lib/store/pictures';
import { theStore } from '@/lib/store/theStore';

/** A copy of a photo for the screen; `?small` for lists, `?whole` pixel for pixel. The original itself never leaves. */
export const GET = answerErrors(
	async (request: NextRequest, context: RouteContext<'/api/photos/[photoId]/picture'>) => {
		const { photoId } = await context.params;
		const { store } = await theStore();
		const { sha256 } = await getPhoto(store, idOf(photoId));
		const query = request.nextUrl.searchParams;
		const side = query.has('small') ? THUMBNAIL_SIDE_PX : query.has('whole') ? WHOLE_SIDE_PX : PREVIEW_SIDE_PX;
		const jpeg = await previewOf(store, sha256, side);
		return new Response(Buffer.from(jpeg), {
			headers: { 'content-type': 'image/jpeg', 'cache-control': 'private, max-age=86400', vary: 'cookie' },
		});
	},
);

import type { NextRequest } from 'next/server';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { classPictureOf } from '@/lib/store/classPictures';
import { getPhoto } from '@/lib/store/photos';
import { theStore } from '@/lib/store/theStore';

/** What the program saw on a photo, as a picture; `?class=insulation` shows one class alone. */
export async function GET(
  request: NextRequest,
  context: RouteContext<'/api/photos/[photoId]/classes'>,
): Promise<Response> {
  try {
    const { photoId } = await context.params;
    const wanted = request.nextUrl.searchParams.get('class');
    const only = wanted === 'unjudged' ? wanted : MATERIAL_CLASSES.find((name) => name === wanted);
    const { store } = await theStore();
    const photo = await getPhoto(store, idOf(photoId));
    const jpeg = await classPictureOf(store, photo, only);
    return new Response(Buffer.from(jpeg), {
      headers: { 'content-type': 'image/png', 'cache-control': 'private, no-cache' },
    });
  } catch (error) {
    return answerError(error);
  }
}

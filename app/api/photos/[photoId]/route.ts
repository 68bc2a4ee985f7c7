import { Readable } from 'node:stream';
import type { NextRequest } from 'next/server';
import { z } from 'zod';
import { idOf } from '@/app/_forms/idOf';
import { answerError } from '@/app/_http/answerError';
import { refuseForeign } from '@/app/_http/refuseForeign';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { theStore } from '@/lib/store/theStore';

const sha256Schema = z.stringFormat('sha256', /^[0-9a-f]{64}$/);

/**
 * Take in one photo: raw bytes in the body, `product` and `spread` (ids) and `name` in the address, optionally
 * `x-sha256`. The photo's own id is in the path, so sending it again stores it once.
 */
export async function PUT(request: NextRequest, context: RouteContext<'/api/photos/[photoId]'>): Promise<Response> {
  const foreign = refuseForeign(request);
  if (foreign !== undefined) return foreign;
  try {
    const { photoId } = await context.params;
    const query = request.nextUrl.searchParams;
    const claimed = sha256Schema.optional().safeParse(request.headers.get('x-sha256') ?? undefined);
    const { store, queue } = await theStore();
    const kept = await takeInPhoto(
      store,
      {
        id: idOf(photoId),
        productId: idOf(query.get('product')),
        spreadId: idOf(query.get('spread')),
        originalName: query.get('name') ?? 'photo',
      },
      request.body === null
        ? []
        : Readable.fromWeb(request.body as import('node:stream/web').ReadableStream<Uint8Array>),
      claimed.success ? claimed.data : undefined,
    );
    queue.wake();
    return Response.json(kept, { status: 201 });
  } catch (error) {
    return answerError(error);
  }
}

import type { NextRequest } from 'next/server';
import { z } from 'zod';
import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { refuseForeign } from '@/app/_http/refuseForeign';
import { sentBytes } from '@/app/_http/sentBytes';
import { photoLine } from '@/app/_http/waitingLine';
import { TrayError } from '@/lib/errors/TrayError';
import { openQuickCheck } from '@/lib/store/quickChecks';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { theStore } from '@/lib/store/theStore';

const sha256Schema = z.stringFormat('sha256', /^[0-9a-f]{64}$/);

/**
 * Take in one photo: raw bytes in the body, `product` and `spread` (ids) and `name` in the address, optionally
 * `x-sha256`. The photo's own id is in the path, so sending it again stores it once. `instead` names the photo of the same
 * spread that this one was taken again for; `quick` makes the product: a quick check. When many arrive at once, some are told to
 * come back (503 with Retry-After).
 */
export const PUT = answerErrors(async (request: NextRequest, context: RouteContext<'/api/photos/[photoId]'>) => {
	const foreign = refuseForeign(request);
	if (foreign !== undefined) return foreign;
	const sent = sentBytes(request);
	try {
		const { photoId } = await context.params;
		const query = request.nextUrl.searchParams;
		const claimed = request.headers.get('x-sha256');
		if (claimed !== null && !sha256Schema.safeParse(claimed).success) {
			throw new TrayError(
				'usage',
				'The checksum sent along is not a SHA-256.',
				'Send 64 lower-case hex digits, or none.',
			);
		}
		const { store, queue } = await theStore();
		const productId = idOf(query.get('product'));
		const takeIn = async () => {
			if (query.has('quick')) await openQuickCheck(store, productId);
			return takeInPhoto(
				store,
				{
					id: idOf(photoId),
					productId,
					spreadId: idOf(query.get('spread')),
					originalName: query.get('name') ?? 'photo',
					...(query.has('instead') ? { instead: idOf(query.get('instead')) } : {}),
				},
				sent.pieces,
				claimed ?? undefined,
			);
		};
		const kept = await photoLine().pass(takeIn, request.signal);
		queue.wake();
		return Response.json(kept, { status: 201 });
	} catch (error) {
		await sent.throwAway();
		throw error;
	}
});

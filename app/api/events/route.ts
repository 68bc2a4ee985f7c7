import type { NextRequest } from 'next/server';
import { z } from 'zod';
import { idOf } from '@/app/_forms/idOf';
import { answerErrors } from '@/app/_http/answerErrors';
import { eventStream } from '@/app/_http/eventStream';
import { sharedLook } from '@/app/_http/sharedLooks';
import { TrayError } from '@/lib/errors/TrayError';
import { progressOf } from '@/lib/store/progress';
import { theStore } from '@/lib/store/theStore';

const awaitedSchema = z
	.string()
	.regex(/^[0-9a-f]{64}$/)
	.optional();

/**
 * How far the reading of photos has come, told at every change: of one run (`?run=`), or of all; with `awaited` also that a result which a
 * page waits for is there.
 */
export const GET = answerErrors(async (request: NextRequest) => {
	const run = request.nextUrl.searchParams.get('run');
	const runId = run === null ? undefined : idOf(run);
	const awaited = awaitedSchema.safeParse(request.nextUrl.searchParams.get('awaited') ?? undefined);
	if (!awaited.success)
		throw new TrayError('usage', 'What is awaited is named by a SHA-256.', 'Send 64 lower-case hex digits, or none.');
	const { store, pool } = await theStore();
	const look = () => progressOf(store, runId, pool.size, awaited.data);
	const name = `${runId} ${awaited.data}`;
	return eventStream(request.signal, store.changes.listen, () => sharedLook(store.changes, name, look));
});

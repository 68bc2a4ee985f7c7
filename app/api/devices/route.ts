import type { NextRequest } from 'next/server';
import { answerErrors } from '@/app/_http/answerErrors';
import { eventStream } from '@/app/_http/eventStream';
import { needOwnSeat } from '@/app/_http/seat';
import { devicesMark } from '@/lib/store/devices';
import { theStore } from '@/lib/store/theStore';

/** That devices have joined or were forgotten, told at every change, so that the laptop shows a phone the moment it is in. */
export const GET = answerErrors(async (request: NextRequest) => {
	needOwnSeat(request.headers);
	const { store } = await theStore();
	return eventStream(request.signal, store.changes.listen, () => devicesMark(store));
});

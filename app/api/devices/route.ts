import type { NextRequest } from 'next/server';
import { answerError } from '@/app/_http/answerError';
import { eventStream } from '@/app/_http/eventStream';
import { needOwnSeat } from '@/app/_http/seat';
import { devicesMark } from '@/lib/store/devices';
import { theStore } from '@/lib/store/theStore';

/** That devices have joined or were forgotten, told at every change, so that the laptop shows a phone the moment it is in. */
export async function GET(request: NextRequest): Promise<Response> {
	try {
		needOwnSeat(request.headers);
		const { store } = await theStore();
		return eventStream(request.signal, store.changes.listen, () => devicesMark(store));
	} catch (error) {
		return answerError(error);
	}
}

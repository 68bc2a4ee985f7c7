import type { NextRequest } from 'next/server';
import { answerError } from '@/app/_http/answerError';
import { eventStream } from '@/app/_http/eventStream';
import { needOwnSeat } from '@/app/_http/seat';
import { listDevices } from '@/lib/store/devices';
import { theStore } from '@/lib/store/theStore';

/** Which devices have joined, told at every change, so that the laptop shows a phone the moment it is in. */
export async function GET(request: NextRequest): Promise<Response> {
	try {
		needOwnSeat(request.headers);
		const { store } = await theStore();
		return eventStream(request.signal, store.changes.listen, async () => {
			return (await listDevices(store)).map(({ id }) => id).sort();
		});
	} catch (error) {
		return answerError(error);
	}
}

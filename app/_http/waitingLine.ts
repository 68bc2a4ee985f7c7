import { TrayError } from '@/lib/errors/TrayError';

/** Photos taken in at a time; each may hold a whole file in memory while its beginning is looked at. */
const MOST_INSIDE = 4;

/** Photos whose bytes wait in their connection, unread, for a place. */
const MOST_WAITING = 16;

/** What a sender is told to wait, seconds: a few photos are taken in meanwhile. */
export const COME_BACK_SECONDS = 3;

/** Lets a few in at a time, lets some wait, and sends the rest away to come back: work and memory stay bounded. */
export class WaitingLine {
	private inside = 0;
	private readonly waiting: (() => void)[] = [];
	constructor(
		private readonly mostInside = MOST_INSIDE,
		private readonly mostWaiting = MOST_WAITING,
	) {}

	/**
	 * Do a piece of work when there is a place.
	 *
	 * @param signal - ends the waiting of somebody who has gone
	 * @throws TrayError `busy` when the line is full; what the work throws
	 */
	async pass<Result>(work: () => Promise<Result>, signal?: AbortSignal): Promise<Result> {
		if (this.inside >= this.mostInside) await this.wait(signal);
		else this.inside++;
		try {
			return await work();
		} finally {
			const next = this.waiting.shift();
			if (next === undefined) this.inside--;
			else next();
		}
	}

	/** Resolves with the place of one who leaves. */
	private wait(signal: AbortSignal | undefined): Promise<void> {
		if (this.waiting.length >= this.mostWaiting) {
			throw new TrayError('busy', 'Many photos arrive at once.', 'It is sent again in a few seconds.');
		}
		return new Promise((resolve, reject) => {
			const turn = () => {
				signal?.removeEventListener('abort', gone);
				resolve();
			};
			const gone = () => {
				this.waiting.splice(this.waiting.indexOf(turn), 1);
				reject(new TrayError('busy', 'The sender has gone.', 'Send the photo again.'));
			};
			this.waiting.push(turn);
			signal?.addEventListener('abort', gone, { once: true });
		});
	}
}

/** On the global object: every copy of the route waits in one line. */
const holder = globalThis as typeof globalThis & { decksideLine?: WaitingLine };

/** The line that photos wait in. */
export function photoLine(): WaitingLine {
	holder.decksideLine ??= new WaitingLine();
	return holder.decksideLine;
}

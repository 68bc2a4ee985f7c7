import { BoardHeld, type NetworkBoard } from './networkBoard';
import type { Planes } from './networkMemory';
import type { NetworkPartner } from './networkPartner';
import type { Step } from './networkSteps';

/** What is done with the rows; see `goThrough`. */
export interface Work {
	readonly give: (from: number, to: number) => void;
	readonly write: (step: Step, rows: number) => void;
	readonly taken: (from: number, to: number) => void;
}

/** The partner's thread is gone and touches nothing any more; what it had begun is half done. */
export class PartnerLost extends Error {}

/** Silence after which to look whether the partner's thread is still there, ms; a step takes less where nothing else runs. */
const SILENCE_MS = 20;

/**
 * As `goThrough`, with a partner that takes steps as well; the picture's rows are given and answers taken here alone.
 *
 * Word of a thread's end comes by this thread's event loop, so after a silence the loop has a turn. However slow the partner is, it is waited for.
 *
 * @throws PartnerLost where the partner's thread ended in the middle of a step
 */
export async function goTogether(
	board: NetworkBoard,
	{ picture }: Planes,
	{ give, write, taken }: Work,
	partner: Pick<NetworkPartner, 'isThere'>,
): Promise<void> {
	const { height } = picture.band;
	let used = 0;
	/** What is done and not yet told to the board. */
	let news: (() => void) | undefined;
	const goOn = (): boolean => {
		news?.();
		news = undefined;
		const answered = board.answered();
		if (answered > used) {
			const rows = answered - used;
			taken(used, answered);
			used = answered;
			news = () => board.take(rows);
			return true;
		}
		const room = board.picturesRoom();
		if (room > 0) {
			give(picture.done, picture.done + room);
			news = () => board.give(room);
			return true;
		}
		const step = board.claim();
		if (step === undefined) return false;
		const { rows } = board;
		write(step, rows);
		news = () => board.finish(step, rows);
		return true;
	};
	/** Goes on until all is over; `act` says whether something came of it. */
	const until = async (isOver: () => boolean, act: () => boolean) => {
		while (!isOver()) {
			const seen = board.changes();
			if (!isSilent(board, seen, act)) continue;
			if (!(await partner.isThere())) throw new PartnerLost();
		}
	};
	try {
		await until(() => used >= height, goOn);
	} catch (cause) {
		// the photo is given up, and its memory is the next one's
		if (!(cause instanceof PartnerLost)) await untilLeft().catch(() => undefined);
		throw cause;
	}
	await untilLeft();

	async function untilLeft(): Promise<void> {
		let isTold = false;
		await until(
			() => isTold && !board.isHelped(),
			() => {
				if (isTold) return false;
				board.end();
				isTold = true;
				return true;
			},
		);
	}
}

/** Acts once; true where nothing came of it and the board did not change for a while either. */
function isSilent(board: NetworkBoard, seen: number, act: () => boolean): boolean {
	try {
		return !act() && board.rest(seen, SILENCE_MS) === 'timed-out';
	} catch (cause) {
		if (cause instanceof BoardHeld) return true;
		throw cause;
	}
}

import type { Band, Plane, Planes } from './networkMemory';
import { endOf, ROWS_AT_ONCE, rowsHeld, rowsReady, type Step } from './networkSteps';

/** Words of the board: who writes it, how often it changed, whether all is over, whether the partner is at work, rows taken; then planes and steps. */
const [LOCK, CHANGES, OVER, PARTNER, TAKEN, FIRST] = [0, 1, 2, 3, 4, 5] as const;

/** Longest wait for the lock before looking again, ms; it is held for some microseconds. */
const LOCK_MS = 20;

/** The lock does not come free: whoever holds it is slow, or gone. What was called has changed nothing and can be called again. */
export class BoardHeld extends Error {}

/** Room for the board of a network that reads a picture. */
export function boardWords(planes: Planes, steps: readonly Step[]): Int32Array<SharedArrayBuffer> {
	return new Int32Array(new SharedArrayBuffer(4 * (FIRST + Object.keys(planes).length + steps.length)));
}

/**
 * How far two threads are that work out one network's rows together: rows written of each plane, and which steps are being written.
 *
 * Each takes the step nearest to the answers whose rows are there and for whose rows there is room. The order does not change a number, as every row
 * is worked out from the same rows by the same code. There is always a step to take or one under way: of the steps still to do, the one that comes
 * first when one thread goes through alone finds its rows and its room.
 */
export class NetworkBoard {
	private readonly planes: readonly Plane[];
	private readonly firstStep: number;
	/** Rows that the step last claimed is to write. */
	rows = 0;
	constructor(
		private readonly words: Int32Array<SharedArrayBuffer>,
		private readonly all: Planes,
		private readonly steps: readonly Step[],
		/** Whether to throw BoardHeld where the lock does not come free, rather than to wait for it. */
		private readonly isWary = false,
	) {
		this.planes = Object.values(all);
		this.firstStep = FIRST + this.planes.length;
	}

	/** Something to hand to `wait` that is read before looking for work. */
	changes(): number {
		return Atomics.load(this.words, CHANGES);
	}
	/** Waits until the board has changed since `changes` was read, but no longer than so many ms. */
	rest(seen: number, ms: number): 'ok' | 'not-equal' | 'timed-out' {
		return Atomics.wait(this.words, CHANGES, seen, ms);
	}

	/** The next step to write, which is then the caller's; its planes say how far all are. */
	claim(): Step | undefined {
		this.lock();
		this.look();
		let found: Step | undefined;
		for (let k = this.steps.length - 1; k >= 0 && found === undefined; k--) {
			const step = this.steps[k]!;
			if (this.words[this.firstStep + k] === 1) continue;
			this.rows = rowsReady(step);
			if (this.rows === 0 || !this.hasRoom(step.to.band, step.to.done + this.rows)) continue;
			this.words[this.firstStep + k] = 1;
			found = step;
		}
		this.unlock();
		return found;
	}
	/** The claimed step's rows are written. */
	finish(step: Step, rows: number): void {
		this.lock();
		this.words[FIRST + this.planes.indexOf(step.to)]! += rows;
		this.words[this.firstStep + this.steps.indexOf(step)] = 0;
		this.change();
	}
	/** How many rows of the picture may be given now. */
	picturesRoom(): number {
		const { picture } = this.all;
		this.lock();
		this.look();
		const rows = Math.min(ROWS_AT_ONCE, picture.band.height - picture.done);
		const room = rows > 0 && this.hasRoom(picture.band, endOf(picture.done + rows)) ? rows : 0;
		this.unlock();
		return room;
	}
	/** Rows of the picture are written. */
	give(rows: number): void {
		this.lock();
		this.words[FIRST + this.planes.indexOf(this.all.picture)]! += rows;
		this.change();
	}
	/** Rows of answers there, and rows of them used up. */
	answered(): number {
		return Atomics.load(this.words, FIRST + this.planes.indexOf(this.all.scores));
	}
	take(rows: number): void {
		this.lock();
		this.words[TAKEN]! += rows;
		this.change();
	}

	/** The partner begins; false where all is over already. */
	enter(): boolean {
		this.lock();
		const isOpen = this.words[OVER] === 0;
		if (isOpen) this.words[PARTNER] = 1;
		this.unlock();
		return isOpen;
	}
	isOver(): boolean {
		return Atomics.load(this.words, OVER) === 1;
	}
	isHelped(): boolean {
		return Atomics.load(this.words, PARTNER) === 1;
	}
	leave(): void {
		this.lock();
		this.words[PARTNER] = 0;
		this.change();
	}
	/** All is over, whether done or given up. */
	end(): void {
		this.lock();
		this.words[OVER] = 1;
		this.change();
	}

	private hasRoom(band: Band, rows: number): boolean {
		return rowsHeld(this.all, this.steps, band, endOf(rows), this.words[TAKEN]!) <= band.rows;
	}
	/** Tells the planes how far all are. */
	private look(): void {
		for (let k = 0; k < this.planes.length; k++) this.planes[k]!.done = this.words[FIRST + k]!;
	}
	private lock(): void {
		while (Atomics.compareExchange(this.words, LOCK, 0, 1) !== 0)
			if (Atomics.wait(this.words, LOCK, 1, LOCK_MS) === 'timed-out' && this.isWary) throw new BoardHeld();
	}
	private unlock(): void {
		Atomics.store(this.words, LOCK, 0);
		Atomics.notify(this.words, LOCK, 1);
	}
	private change(): void {
		Atomics.add(this.words, CHANGES, 1);
		this.unlock();
		Atomics.notify(this.words, CHANGES);
	}
}

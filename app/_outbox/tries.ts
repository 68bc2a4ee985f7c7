/** How a try ended that did not throw: nothing waits any more, or what waits is to be sent later. */
export type TryEnd = 'allSent' | 'later';

/** Where sending stands. */
type Standing =
	| { readonly kind: 'resting' }
	| { readonly kind: 'underWay' }
	/** Under way, but its link carries nothing; giving it up ends it as one that failed. */
	| { readonly kind: 'quiet'; readonly giveUp: () => void }
	/** The last one failed; the next one comes by itself. */
	| { readonly kind: 'failed'; readonly next: ReturnType<typeof setTimeout> };

/** What tries are made of. */
interface Round {
	/** One try. */
	readonly send: () => Promise<TryEnd>;
	/** Lets a try begin when no other tab is at one. Its own promise may be kept later than the try's. */
	readonly alone: (work: () => Promise<void>) => Promise<void>;
	/** Whether anything waits to be sent. */
	readonly isAnyLeft: () => boolean;
	/** Told when a try threw. */
	readonly stumbled: () => void;
}

/** Waits between tries, milliseconds; the last one for ever. */
const WAITS_MS = [1000, 2000, 4000, 8000, 15_000, 30_000] as const;

/** Tries at sending: one at a time, and after one that failed the next one by itself, later each time until something gets through. */
export class Tries {
	private standing: Standing = { kind: 'resting' };
	private failures = 0;

	constructor(private readonly round: Round) {}

	/** Try at once, unless a try is under way; one whose link has gone quiet is given up, for a new one soon. */
	now(): void {
		switch (this.standing.kind) {
			case 'underWay':
				return;
			case 'quiet':
				this.failures = 0;
				this.standing.giveUp();
				return;
			case 'failed':
				clearTimeout(this.standing.next);
		}
		this.standing = { kind: 'underWay' };
		this.tryOnce();
	}

	/** The link of the try under way has gone quiet. */
	quiet(giveUp: () => void): void {
		if (this.standing.kind === 'underWay') this.standing = { kind: 'quiet', giveUp };
	}

	/** The link carries, or its photo has an outcome. @returns true where it had gone quiet */
	carries(): boolean {
		// a late word of a try that has ended must not make it stand as under way: none would begin any more
		if (this.standing.kind !== 'quiet') return false;
		this.standing = { kind: 'underWay' };
		return true;
	}

	/** Something got through: the next failure counts as the first. */
	gotThrough(): void {
		this.failures = 0;
	}

	private tryOnce(): void {
		const { alone, send, stumbled } = this.round;
		alone(async () => this.ended(await send())).catch(() => {
			stumbled();
			this.ended('later');
		});
	}

	private ended(end: TryEnd): void {
		if (end === 'later') {
			const waitMs = WAITS_MS[Math.min(this.failures, WAITS_MS.length - 1)];
			this.failures++;
			this.standing = { kind: 'failed', next: setTimeout(() => this.now(), waitMs) };
			return;
		}
		this.standing = { kind: 'resting' };
		// one may have been added since the last look
		if (this.round.isAnyLeft()) this.now();
	}
}

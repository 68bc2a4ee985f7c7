let lastMs = 0;

/**
 * Now, as an ISO 8601 instant (UTC, milliseconds) that is later than every one given before by this program, so that rows ordered by
 * when they were made keep the order in which they were made, however fast they followed each other. One program at a time writes to
 * a data directory, so the order holds there too; of programs that share a database two may give the same instant, and lists then go
 * on by id. Where the clock stands still or is set back it counts on by a millisecond, also from what is on record (`goOnAfter`).
 */
export function nextInstant(): string {
	lastMs = Math.max(Date.now(), lastMs + 1);
	return new Date(lastMs).toISOString();
}

/** Let all that follows be later than this instant, which is on record: the clock may have been set back while nothing ran. */
export function goOnAfter(instant: string): void {
	const ms = Date.parse(instant);
	if (ms > lastMs) lastMs = ms;
}

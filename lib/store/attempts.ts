/** How many wrong tries are let pass within a time. Common practice, no source. */
export interface AttemptRules {
	readonly perAddress: number;
	readonly overall: number;
	readonly windowMs: number;
}

/** Five wrong codes from one device, fifty from all, in ten minutes: a person who mistypes gets on, a program gets nowhere. */
export const JOIN_RULES: AttemptRules = { perAddress: 5, overall: 50, windowMs: 600_000 };

/** Where many yards join at one place, one yard's mistakes must not keep the others out; their codes are too long to be found by trying. */
export const YARDS_JOIN_RULES: AttemptRules = { ...JOIN_RULES, overall: 5000 };

/** Counts tries by address and all together, in a window that slides; holds no more than the overall number of them. */
export class Attempts {
	private tries: { readonly address: string; readonly at: number }[] = [];
	constructor(private readonly rules: AttemptRules = JOIN_RULES) {}

	/**
	 * Take one try, before it is known whether it is right, so that tries sent at once count as well.
	 *
	 * @param now - milliseconds
	 * @returns how long to wait, milliseconds; 0 when the try may be made
	 */
	take(address: string, now: number): number {
		const { perAddress, overall, windowMs } = this.rules;
		// tries of what is still to come were made by a clock that has been set back since
		this.tries = this.tries.filter(({ at }) => at > now - windowMs && at <= now);
		const from = this.tries.filter((one) => one.address === address);
		const waits = [from.at(-perAddress), this.tries.at(-overall)].map((one) =>
			one === undefined ? 0 : one.at + windowMs - now,
		);
		const waitMs = Math.max(...waits);
		if (waitMs === 0) this.tries.push({ address, at: now });
		return waitMs;
	}

	/** The try was right: it does not count. */
	forgive(address: string): void {
		const last = this.tries.findLastIndex((one) => one.address === address);
		if (last >= 0) this.tries.splice(last, 1);
	}
}

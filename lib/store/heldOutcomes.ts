/** Outcomes held in memory, at most, of all yards together: a disk that can't be written may stay so for long. Some 30 kB each, 6 MB in all. */
const MOST_HELD = 200;

interface Held {
	readonly letGo: () => void;
}

/** In the order they came, of every `HeldOutcomes` of this program. */
const all = new Set<Held>();

/**
 * What came of work, held by name until it is kept or asked for. The program's oldest are let go where there are too many: whoever asks after one
 * has it worked out anew.
 */
export class HeldOutcomes<Outcome> {
	private readonly byName = new Map<string, Held & { readonly outcome: Outcome }>();

	get(name: string): Outcome | undefined {
		return this.byName.get(name)?.outcome;
	}

	/** Put it in the place of what was held under the name. */
	hold(name: string, outcome: Outcome): void {
		this.delete(name);
		const held = { outcome, letGo: () => this.delete(name) };
		this.byName.set(name, held);
		all.add(held);
		const [oldest] = all;
		if (all.size > MOST_HELD) oldest?.letGo();
	}

	delete(name: string): void {
		const held = this.byName.get(name);
		if (held !== undefined) all.delete(held);
		this.byName.delete(name);
	}

	some(isIt: (outcome: Outcome) => boolean): boolean {
		return [...this.byName.values()].some(({ outcome }) => isIt(outcome));
	}
}

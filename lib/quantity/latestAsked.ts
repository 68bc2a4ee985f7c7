/** What was asked for last, held in memory by name: of more than `most` the one that nobody asked for longest is let go. */
export class LatestAsked<Value> {
	private readonly held = new Map<string, Value>();
	constructor(private readonly most: number) {}

	/** @returns undefined where it is not held */
	get(name: string): Value | undefined {
		const value = this.held.get(name);
		if (value !== undefined) this.hold(name, value);
		return value;
	}

	/** Put it in the place of what was held under the name. */
	hold(name: string, value: Value): void {
		this.held.delete(name);
		this.held.set(name, value);
		for (const oldest of this.held.keys()) {
			if (this.held.size <= this.most) return;
			this.held.delete(oldest);
		}
	}

	delete(name: string): void {
		this.held.delete(name);
	}
}

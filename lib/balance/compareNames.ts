/**
 * Names made different by a number after those that occur again: `Run 1`, `Run 1 (2)`.
 *
 * A run's name seeds its own errors, so two runs of one name would share them and look alike.
 */
export function namedApart(names: readonly string[]): readonly string[] {
	const taken = new Set<string>();
	return names.map((name) => {
		let apart = name;
		for (let next = 2; taken.has(apart); next++) apart = `${name} (${next})`;
		taken.add(apart);
		return apart;
	});
}

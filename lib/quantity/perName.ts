/**
 * A record with one value for each name of a list, in the list's order.
 *
 * @param of - gives a name's value; the place is where the name stands in the list
 */
export function perName<Name extends string, Value>(
	names: readonly Name[],
	of: (name: Name, place: number) => Value,
): Record<Name, Value> {
	return Object.fromEntries(names.map((name, place) => [name, of(name, place)])) as Record<Name, Value>; // every name is listed
}

/** The same without the names that have no value. */
export function knownPerName<Name extends string, Value>(
	names: readonly Name[],
	of: (name: Name) => Value | undefined,
): Partial<Record<Name, Value>> {
	const known: Partial<Record<Name, Value>> = {};
	for (const name of names) {
		const value = of(name);
		if (value !== undefined) known[name] = value;
	}
	return known;
}

import entries from '../reference/colour.json';

/** A published colour figure of tests/reference/colour.json by its id; inputs and expected are as the entry has them. */
export function reference(id: string): { inputs: never; expected: never; tolerance: number } {
	const entry = entries.find((e) => e.id === id);
	if (!entry) throw new RangeError(`no reference ${id}`);
	return { inputs: entry.inputs as never, expected: entry.expected as never, tolerance: entry.tolerance ?? 0 };
}

/** Every number of a nested list, in order. */
export function flat(values: readonly (number | readonly number[])[]): number[] {
	return values.flat();
}

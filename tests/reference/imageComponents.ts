import references from './image-components.json';

/** A published or independently computed value by its name. */
export function imageReference(id: string): { readonly inputs: never; readonly expected: never } {
	const found = references.find((entry) => entry.id === id);
	if (found === undefined) throw new Error(`no reference ${id}`);
	return found as never; // each test knows the shape of its own reference
}

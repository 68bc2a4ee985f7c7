import 'server-only';
import type { Store } from './database';

/** By database, what was found and by name. */
const held = new WeakMap<Store['db'], { readonly at: number; readonly found: Map<string, Promise<unknown>> }>();

/**
 * What a look through many rows finds, for as long as the database is as it was: between two photos the same is asked for by many pages. Where the
 * database tells no version each look is made.
 *
 * @param name - the same for the same look
 */
export function whileUnchanged<Found>(store: Store, name: string, look: () => Promise<Found>): Promise<Found> {
	// taken first: what changes while it is looked up makes it old at once
	const at = store.version?.();
	if (at === undefined) return look();
	const there = held.get(store.db);
	const own = there?.at === at ? there : { at, found: new Map<string, Promise<unknown>>() };
	held.set(store.db, own);
	// put there below under the same name
	const known = own.found.get(name) as Promise<Found> | undefined;
	if (known !== undefined) return known;
	const found = look();
	own.found.set(name, found);
	found.catch(() => own.found.delete(name));
	return found;
}

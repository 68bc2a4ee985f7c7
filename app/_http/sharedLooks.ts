import type { Changes } from '@/lib/store/changes';

type Looks = Map<string, Promise<unknown>>;

const looksAfter = new WeakMap<Changes, Looks>();

/**
 * What a look finds, for all who want the same since the last word of change: a hundred open pages look once, not a hundred times.
 *
 * @param name - the same for the same look
 */
export function sharedLook<Found>(changes: Changes, name: string, look: () => Promise<Found>): Promise<Found> {
	const looks = looksAfter.get(changes) ?? looksOf(changes);
	// put there below under the same name
	const there = looks.get(name) as Promise<Found> | undefined;
	if (there !== undefined) return there;
	const found = look();
	looks.set(name, found);
	found.catch(() => {
		if (looks.get(name) === found) looks.delete(name);
	});
	return found;
}

function looksOf(changes: Changes): Looks {
	const looks: Looks = new Map();
	looksAfter.set(changes, looks);
	// what was begun before a change may not show it
	changes.listen(() => looks.clear());
	return looks;
}

import type { Store } from './database';

/** One thing for each database, made when it is first asked for: what one yard has is no other's. */
export function perDatabase<Thing>(make: () => Thing): (store: Pick<Store, 'db'>) => Thing {
	const things = new WeakMap<Store['db'], Thing>();
	return ({ db }) => {
		const thing = things.get(db) ?? make();
		things.set(db, thing);
		return thing;
	};
}

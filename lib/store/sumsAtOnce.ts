import 'server-only';
import { workBehindPages } from './behindPages';
import type { Store } from './database';
import { keptByNow, keptOr, keptUnder } from './keptResult';

/** A result for a page that waits for nothing: it is there, or it is awaited under a name that the page's events look for. */
export type AtOnce<Result> = { readonly result: Result } | { readonly awaited: string };

/** How a sum is worked out, and the name that it is kept under. */
export interface SumTask<Result> {
	readonly key: string;
	readonly workOut: () => Promise<Result>;
}

/**
 * A sum that goes on from a run, at once where it is on record; otherwise it is worked out behind the page.
 *
 * @param kind - which sum of which run
 * @param mayStart - false where it is not worth its while yet: then it is only looked up
 * @throws what the working out threw, to the first who asks after it; the next asking tries it again
 */
export async function sumAtOnce<Result>(
	store: Store,
	kind: string,
	{ key, workOut }: SumTask<Result>,
	mayStart = true,
): Promise<AtOnce<Result>> {
	const kept = (await keptUnder<Result>(store, [key])).get(key);
	if (kept !== undefined) return { result: kept };
	const { sumsNotKept } = store.runsAtWork;
	const ended = sumsNotKept.get(kind);
	if (ended?.key === key) {
		// put there below for the same key
		if ('result' in ended) return { result: ended.result as Result };
		sumsNotKept.delete(kind);
		throw ended.error;
	}
	if (mayStart) workBehindPages(store, kind, { key, work: () => workSumOut(store, kind, { key, workOut }) });
	return { awaited: key };
}

async function workSumOut<Result>(store: Store, kind: string, { key, workOut }: SumTask<Result>): Promise<void> {
	const { sumsNotKept } = store.runsAtWork;
	try {
		sumsNotKept.hold(kind, { key, result: await keptOr(store, key, workOut) });
		store.changes.announce();
		await keptByNow(key);
		if ((await keptUnder(store, [key])).size === 0) return;
		sumsNotKept.delete(kind);
		// another program's pages find it only now
		store.changes.announce();
	} catch (error) {
		sumsNotKept.hold(kind, { key, error });
		store.changes.announce();
	}
}

/** Whether a page that awaits this result need wait no longer: it is there, or it is known that it can't be had. */
export async function isOver(store: Store, key: string): Promise<boolean> {
	const { notKept, sumsNotKept } = store.runsAtWork;
	if (sumsNotKept.some((ended) => ended.key === key) || notKept.some(({ origin }) => origin.key === key)) return true;
	const row = await store.db.selectFrom('account').select('key').where('key', '=', key).executeTakeFirst();
	return row !== undefined;
}

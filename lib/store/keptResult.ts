import 'server-only';
import type { Store } from './database';
import { nextInstant } from './instant';
import { keepIfPossible } from './storageFault';

/** Kept results among these keys. */
export async function keptUnder<Result>(store: Store, keys: readonly string[]): Promise<ReadonlyMap<string, Result>> {
	if (keys.length === 0) return new Map();
	const rows = await store.db.selectFrom('account').select(['key', 'result']).where('key', 'in', keys).execute();
	// written below by the same engine version from the same kind of inputs, so the shape is known
	return new Map(rows.map(({ key, result }) => [key, readResult(result) as Result]));
}

/** How a result is kept. */
interface Keeping<Result> {
	/** What is kept along with it once it is kept itself. */
	readonly also?: (result: Result) => Promise<void>;
}

/**
 * The result kept under this key, or what it is worked out to be now, which is kept from then on. Keeping it is not waited for: another program's
 * lock on the database holds up nobody who looks.
 */
export async function keptOr<Result>(
	store: Store,
	key: string,
	workOut: () => Promise<Result>,
	keeping: Keeping<Result> = {},
): Promise<Result> {
	// asked before the database is: what is kept while that is read would be in neither
	const begun = underWay.get(key);
	if (begun !== undefined) return begun.worked as Promise<Result>;
	const kept = (await keptUnder<Result>(store, [key])).get(key);
	if (kept !== undefined) return kept;
	const started = underWay.get(key) ?? start(store, key, workOut, keeping);
	return started.worked as Promise<Result>;
}

/** By key: who asks for the same thing before it is kept gets the one answer. */
const underWay = new Map<string, { readonly worked: Promise<unknown>; readonly kept: Promise<void> }>();
/** What a store that closes waits for. */
const openWork = new Set<Promise<void>>();

/** Until all that was worked out is kept: a store that closes waits for it. */
export async function keptInFull(): Promise<void> {
	await Promise.all(openWork);
}

/** Let a store that closes wait for this too. */
export function holdOpen(work: Promise<void>): void {
	const held = work.finally(() => openWork.delete(held));
	openWork.add(held);
}

/** Until the result of this key, if it is being worked out here, is kept or can't be. */
export async function keptByNow(key: string): Promise<void> {
	await underWay.get(key)?.kept;
}

function start<Result>(
	store: Store,
	key: string,
	workOut: () => Promise<Result>,
	{ also }: Keeping<Result>,
): { readonly worked: Promise<Result>; readonly kept: Promise<void> } {
	const worked = workOut();
	const kept = worked
		.then(
			async (result) => {
				if ((await keep(store, key, result)) && also !== undefined) await also(result);
			},
			// whoever asked hears of it
			() => undefined,
		)
		.catch((error) => console.error('A result could not be kept:', error))
		.finally(() => underWay.delete(key));
	const started = { worked, kept };
	underWay.set(key, started);
	holdOpen(kept);
	return started;
}

function keep(store: Store, key: string, result: unknown): Promise<boolean> {
	const row = { key, result: writeResult(result), created_at: nextInstant() };
	return keepIfPossible(
		store.db
			.insertInto('account')
			.values(row)
			.onConflict((conflict) => conflict.column('key').doNothing())
			.execute(),
	);
}

/** Keep a result in the place of what stood under its key; a full or read-only disk leaves that as it was. */
export async function keepAnew(store: Store, key: string, result: unknown): Promise<void> {
	const row = { result: writeResult(result), created_at: nextInstant() };
	await keepIfPossible(
		store.db
			.insertInto('account')
			.values({ key, ...row })
			.onConflict((conflict) => conflict.column('key').doUpdateSet(row))
			.execute(),
	);
}

/** Numbers that JSON has no words for. */
const NAMED = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN];

/** A result as text for the database: JSON, with numbers that are not finite by name, where JSON would make nothing of them. */
export function writeResult(result: unknown): string {
	return JSON.stringify(result, (_, value: unknown) =>
		typeof value === 'number' && !Number.isFinite(value) ? { number: String(value) } : value,
	);
}

/** The result that `writeResult` wrote; what of it is undefined is left out. */
export function readResult(text: string): unknown {
	// most hold no such number, and are read several times as fast
	if (!text.includes('{"number":"')) return JSON.parse(text);
	return JSON.parse(text, (_, value: unknown) => {
		const isNamed = typeof value === 'object' && value !== null && 'number' in value && Object.keys(value).length === 1;
		return isNamed ? (NAMED.find((one) => String(one) === value.number) ?? value) : value;
	});
}

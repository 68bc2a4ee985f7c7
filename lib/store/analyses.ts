import 'server-only';
import { LatestAsked } from '../quantity/latestAsked';
import { MOST } from '../report/runFile';
import type { PhotoAnalysis } from './analysis';
import type { Store } from './database';
import { perDatabase } from './perDatabase';

/** The name that the class map of an analysis is kept under, a grey PNG of class codes. */
export function classMapName(key: string): string {
	return `maps/${key}.png`;
}

/** What a photo said, how long it took to read it, and which version of the engine read it. */
export type KeptAnalysis = PhotoAnalysis & { readonly tookMs: number; readonly engine: string };

/** The kept analyses with these keys. */
export async function getAnalyses(store: Store, keys: readonly string[]): Promise<ReadonlyMap<string, KeptAnalysis>> {
	const there = await analysesThere(store, keys);
	const heldOf = (key: string) => held.get(nameIn(store, key));
	const missing = [...there].filter((key) => heldOf(key) === undefined);
	const read = missing.length === 0 ? new Map<string, KeptAnalysis>() : await readAnalyses(store, missing);
	const found = new Map([...there].flatMap((key) => entryOf(key, heldOf(key) ?? read.get(key))));
	for (const [key, analysis] of found) held.hold(nameIn(store, key), analysis);
	return found;
}

/** Which of these analyses are on record. */
export async function analysesThere(store: Store, keys: readonly string[]): Promise<ReadonlySet<string>> {
	if (keys.length === 0) return new Set();
	const rows = await store.db
		.selectFrom('analysis')
		.select('key')
		.where('key', 'in', [...new Set(keys)])
		.execute();
	return new Set(rows.map(({ key }) => key));
}

async function readAnalyses(store: Store, keys: readonly string[]): Promise<ReadonlyMap<string, KeptAnalysis>> {
	const rows = await store.db.selectFrom('analysis').selectAll().where('key', 'in', keys).execute();
	return new Map(
		rows.map(({ key, result, took_ms, engine_version }) => {
			// written by readWaiting of this version or an earlier one, which may have told less
			return [key, { ...(JSON.parse(result) as PhotoAnalysis), tookMs: took_ms, engine: engine_version }];
		}),
	);
}

function entryOf(key: string, analysis: KeptAnalysis | undefined): readonly (readonly [string, KeptAnalysis])[] {
	return analysis === undefined ? [] : [[key, analysis]];
}

/** Analyses held in memory, at most, of all yards together: a run's pages ask for all of its photos again after each photo, and to make objects of 60 takes 12 ms. */
const MOST_HELD = MOST.photos;

/** An analysis never changes under its key. */
const held = new LatestAsked<KeptAnalysis>(MOST_HELD);
let databases = 0;
const numberOf = perDatabase(() => ++databases);

function nameIn(store: Store, key: string): string {
	return `${numberOf(store)} ${key}`;
}

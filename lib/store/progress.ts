import 'server-only';
import { createHash } from 'node:crypto';
import type { SelectQueryBuilder } from 'kysely';
import type { PhotosInReading } from '../balance/runHistory';
import type { Store } from './database';
import { latestOrigin } from './latestFigures';
import { awaitingMark } from './pageMark';
import type { Tables } from './schema';
import { isOver } from './sumsAtOnce';
import { whileUnchanged } from './whileUnchanged';

/** How far the reading of a run's photos has come, counted. */
export interface Progress {
	readonly photos: number;
	readonly graded: number;
	readonly refused: number;
	/** Waiting or being read. */
	readonly open: number;
	/** Left off by a person and not read yet. */
	readonly stopped: number;
	/** From the mean time of the latest readings; absent before there is one or when nothing is open. */
	readonly secondsLeft?: number;
	/** What keeps photos from being read just now, in plain words. */
	readonly haltedBy?: string;
	/** Differs whenever a photo came, went, or changed its state, or a bin's name or weight did, or figures of the run were worked out. */
	readonly mark: string;
}

/**
 * Count the photos of one run, or of all runs.
 *
 * @param awaited - the name of a result that a page waits for: the mark is another once it is there
 */
export async function progressOf(store: Store, runId?: string, workers = 2, awaited?: string): Promise<Progress> {
	const counts = await countsIn(store, runId);
	const of = (wanted: (row: Standing) => boolean) =>
		counts.reduce((sum, row) => sum + (wanted(row) ? row.photos : 0), 0);
	const inState = (state: string) => of((row) => row.held === null && row.state === state);
	const [graded, refused, open] = [inState('graded'), inState('refused'), inState('queued') + inState('reading')];
	const secondsLeft = open === 0 ? undefined : await estimateLeft(store, open, workers);
	const marked = runId === undefined ? await openIn(store) : await photosAndBinsOf(store, runId);
	const mark = createHash('sha256')
		.update(JSON.stringify([counts, marked]))
		.digest('base64url')
		.slice(0, 16);
	return {
		photos: open + graded + refused,
		graded,
		refused,
		open,
		stopped: of(({ held }) => held === 'stopped'),
		...(secondsLeft === undefined ? {} : { secondsLeft }),
		...(store.reading?.haltedBy === undefined || open === 0 ? {} : { haltedBy: store.reading.haltedBy }),
		mark: awaited === undefined ? mark : awaitingMark(mark, await isOver(store, awaited)),
	};
}

/** The runs of a lot of which a photo waits or is being read, by id, with how many of their photos are done. */
export async function runsInReading(
	store: Store,
	lotId: string,
): Promise<ReadonlyMap<string, PhotosInReading & { readonly name: string }>> {
	const open = await notHeld(store)
		.select('run.id')
		.where('photo.state', 'in', ['queued', 'reading'])
		.where('run.lot_id', '=', lotId)
		.distinct()
		.execute();
	if (open.length === 0) return new Map();
	const rows = await notHeld(store)
		.select(({ fn }) => ['run.id', 'run.name', 'photo.state', fn.countAll<number | string>().as('photos')])
		.where(
			'product.run_id',
			'in',
			open.map(({ id }) => id),
		)
		.groupBy(['run.id', 'run.name', 'run.run_date', 'photo.state'])
		.orderBy('run.run_date')
		.orderBy('run.id')
		.execute();
	const found = new Map<string, PhotosInReading & { readonly name: string }>();
	for (const { id, name, state, photos } of rows) {
		const { read, all } = found.get(id) ?? { read: 0, all: 0 };
		const isOpen = state === 'queued' || state === 'reading';
		found.set(id, { name, read: read + (isOpen ? 0 : Number(photos)), all: all + Number(photos) });
	}
	return found;
}

/** Photos of runs that no person has left off. */
function notHeld(store: Store) {
	return photosIn(store, undefined).where('photo.held', 'is', null);
}

function photosIn(store: Store, runId: string | undefined) {
	const all = store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.innerJoin('product', 'product.id', 'spread.product_id')
		.innerJoin('run', 'run.id', 'product.run_id')
		.where('photo.deleted_at', 'is', null)
		.where('product.deleted_at', 'is', null)
		.where('run.deleted_at', 'is', null);
	return runId === undefined ? all : all.where('product.run_id', '=', runId);
}

/** Photos that stand alike, counted by the database, since there may be tens of thousands. */
interface Standing {
	readonly state: string;
	readonly held: string | null;
	readonly photos: number;
}

async function countsIn(store: Store, runId: string | undefined): Promise<readonly Standing[]> {
	return runId === undefined
		? whileUnchanged(store, 'photos', () => countsInAll(store))
		: counted(photosIn(store, runId));
}

async function countsInAll(store: Store): Promise<readonly Standing[]> {
	const kept = await counted(store.db.selectFrom('photo').where('photo.deleted_at', 'is', null));
	// what hangs on a removed bin or run is little: to take it off costs a fraction of looking every photo's run up
	const gone = await counted(photosOfRemoved(store));
	return kept.flatMap((row) => {
		const without = gone.find(({ state, held }) => state === row.state && held === row.held)?.photos ?? 0;
		return row.photos > without ? [{ ...row, photos: row.photos - without }] : [];
	});
}

async function counted(photos: SelectQueryBuilder<Tables, 'photo', object>): Promise<readonly Standing[]> {
	const rows = await photos
		.select(({ fn }) => ['photo.state', 'photo.held', fn.countAll<number | string>().as('photos')])
		.groupBy(['photo.state', 'photo.held'])
		.orderBy('photo.state')
		.orderBy('photo.held')
		.execute();
	return rows.map((row) => ({ ...row, photos: Number(row.photos) }));
}

function photosOfRemoved(store: Store) {
	return store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.where('photo.deleted_at', 'is', null)
		.where('spread.product_id', 'in', (removed) =>
			removed
				.selectFrom('product')
				.innerJoin('run', 'run.id', 'product.run_id')
				.select('product.id')
				.where((eb) => eb.or([eb('product.deleted_at', 'is not', null), eb('run.deleted_at', 'is not', null)])),
		);
}

/** Photos of all runs that are not graded: few, and every photo on its way to a grade is among them. */
async function openIn(store: Store) {
	return photosIn(store, undefined)
		.select(['photo.id', 'photo.state', 'photo.held'])
		.where('photo.state', 'in', ['queued', 'reading'])
		.orderBy('photo.id')
		.execute();
}

async function photosAndBinsOf(store: Store, runId: string) {
	const photos = await photosIn(store, runId)
		.select(['photo.id', 'photo.state', 'photo.held', 'photo.analysis_key', 'photo.spread_id', 'spread.product_id'])
		.orderBy('photo.id')
		.execute();
	return [photos, await binsOf(store, runId), await figuresIn(store, runId)];
}

/** Which figures a page of the run would show, or that it would hear what went wrong. */
async function figuresIn(store: Store, runId: string) {
	const ended = store.runsAtWork.notKept.get(runId);
	const failed = ended !== undefined && 'error' in ended ? ended.origin.key : null;
	return [(await latestOrigin(store, runId))?.key ?? null, failed];
}

async function binsOf(store: Store, runId: string) {
	return store.db
		.selectFrom('product')
		.select(['id', 'name', 'role', 'weighing'])
		.where('run_id', '=', runId)
		.where('deleted_at', 'is', null)
		.orderBy('position')
		.execute();
}

async function estimateLeft(store: Store, open: number, workers: number): Promise<number | undefined> {
	const latest = await store.db
		.selectFrom('analysis')
		.select('took_ms')
		.orderBy('created_at', 'desc')
		.limit(8)
		.execute();
	if (latest.length === 0) return undefined;
	const meanMs = latest.reduce((sum, { took_ms }) => sum + took_ms, 0) / latest.length;
	return Math.ceil((meanMs / 1000) * Math.ceil(open / Math.max(1, workers)));
}

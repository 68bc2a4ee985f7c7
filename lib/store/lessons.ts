import 'server-only';
import { type CheckInput, checkSchema, isOfSpread } from '../grade/checkEntry';
import { TEACHING_KINDS } from '../grade/lesson';
import type { ProductRole } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import { analysesThere, getAnalyses } from './analyses';
import type { Store } from './database';
import { notFound } from './notFound';
import { perDatabase } from './perDatabase';
import type { Photo } from './photos';
import { sha256Of } from './sha256Of';
import { listSpreadsOf, type Spread } from './spreads';

/** A check that says something about a material, with the run it was made on. */
export interface KeptLesson {
	readonly checkId: string;
	readonly entry: CheckInput;
	readonly runId: string;
	readonly runName: string;
	readonly runDate: string;
	readonly productId: string;
	readonly productName: string;
	readonly role: ProductRole;
	readonly spreadId?: string;
	/** Whether it counts for other runs of the material. */
	readonly isTaught: boolean;
}

/** What other runs taught, as the balance takes it. */
export interface TaughtCheck {
	readonly id: string;
	/** Where it was made, in words. */
	readonly label: string;
	readonly role: ProductRole;
	/** As typed; of a check about a spread, `reading` is that spread's. */
	readonly check: CheckInput;
	readonly reading?: SpreadReading;
	/** The photo that the reading is of. */
	readonly photo?: Photo;
}

/** Most checks of other runs that count, the latest first; each takes some milliseconds of every working out. */
export const MOST_LESSONS = 30;

/**
 * Every check that can teach a material, the latest run first.
 *
 * @param of.demo - of the demonstration's runs, or of the person's own: neither teaches the other
 */
export async function listLessons(
	store: Store,
	of: { readonly material: string; readonly demo: boolean },
): Promise<readonly KeptLesson[]> {
	const rows = await store.db
		.selectFrom('product_check')
		.innerJoin('product', 'product.id', 'product_check.product_id')
		.innerJoin('run', 'run.id', 'product.run_id')
		.innerJoin('lot', 'lot.id', 'run.lot_id')
		.select([
			'product_check.id',
			'product_check.entry',
			'product_check.spread_id',
			'product_check.taught',
			'product.id as product_id',
			'product.name as product_name',
			'product.role',
			'run.id as run_id',
			'run.name as run_name',
			'run.run_date',
		])
		.where('run.material', '=', of.material)
		.where('run.demo', '=', of.demo ? 1 : 0)
		.where('product_check.deleted_at', 'is', null)
		.where('product.deleted_at', 'is', null)
		.where('run.deleted_at', 'is', null)
		.where('lot.deleted_at', 'is', null)
		.orderBy('run.run_date', 'desc')
		.orderBy('product_check.created_at', 'desc')
		.orderBy('product_check.id')
		.execute();
	return rows.flatMap((row) => {
		const entry: unknown = JSON.parse(row.entry);
		const { kind } = checkSchema.parse(entry);
		if (!TEACHING_KINDS.some((one) => one === kind)) return [];
		return [
			{
				checkId: row.id,
				entry: entry as CheckInput, // parsed above; kept as typed
				runId: row.run_id,
				runName: row.run_name,
				runDate: row.run_date,
				productId: row.product_id,
				productName: row.product_name,
				role: row.role as ProductRole, // written by this program only
				...(row.spread_id === null ? {} : { spreadId: row.spread_id }),
				isTaught: row.taught === 1,
			},
		];
	});
}

/** A check that can teach, with the spread that it is about where that is still there. */
interface FoundLesson {
	readonly lesson: KeptLesson;
	/** The same for the same check, and for all sorts of one spread's photos, of which the latest counts. */
	readonly key: string;
	/** Of a check about a spread: the photo that was read, and its reading's key. Without one it teaches nothing. */
	readonly read?: { readonly photo: Photo; readonly analysisKey: string };
	/** Where it was made, in words. */
	readonly label: string;
}

/** What one run is taught by others, before any reading is fetched. */
type TaughtLesson = FoundLesson & {
	/** Stands for all of it but its words, the reading included, in what figures rest on. */
	readonly mark: string;
};

/** Every check that can teach runs of a material, the latest first. */
export interface Lessons {
	readonly all: readonly TaughtLesson[];
	/** Another one where anything that may be taught by them is another. */
	readonly mark: string;
}

/** By material, with the changes that they were looked up after: every run's page asks for them, and there may be hundreds. */
const heldOf = perDatabase(() => new Map<string, { readonly after: string; readonly lessons: Lessons }>());

/** Every check that can teach runs of a material: looked up again only where a run that holds checks, or held some, has changed. */
export async function findLessons(store: Store, of: Parameters<typeof listLessons>[1]): Promise<Lessons> {
	const own = heldOf(store);
	const name = JSON.stringify([of.material, of.demo]);
	// taken first: what changes while they are looked up makes them old at once
	const after = await teachingChanges(store);
	const there = own.get(name);
	if (there?.after === after) return there.lessons;
	const all = await lookUpLessons(store, of);
	const told = all.map(({ lesson, key, mark }) => [lesson.runId, lesson.isTaught, key, mark]);
	const lessons = { all, mark: sha256Of(JSON.stringify(told)) };
	own.set(name, { after, lessons });
	return lessons;
}

/** How often runs that may teach have changed, in all: it only ever grows. */
async function teachingChanges(store: Store): Promise<string> {
	const { runs, changes } = await store.db
		.selectFrom('run_change')
		.select(({ fn }) => [fn.countAll().as('runs'), fn.sum('changes').as('changes')])
		.where('teaches', '=', 1)
		.executeTakeFirstOrThrow();
	return `${runs} ${changes}`;
}

async function lookUpLessons(store: Store, of: Parameters<typeof listLessons>[1]): Promise<readonly TaughtLesson[]> {
	const all = await listLessons(store, of);
	const about = all.filter(({ spreadId }) => spreadId !== undefined);
	const spreads = await listSpreadsOf(store, [...new Set(about.map(({ productId }) => productId))]);
	const byId = new Map(spreads.map((spread) => [spread.id, spread]));
	const found = all.map((lesson) => foundLesson(lesson, byId.get(lesson.spreadId ?? '')));
	const there = await analysesThere(
		store,
		found.flatMap(({ read }) => (read === undefined ? [] : [read.analysisKey])),
	);
	return found.map(({ read, ...rest }) => {
		const { checkId, role, entry } = rest.lesson;
		const isThere = read !== undefined && there.has(read.analysisKey);
		const mark = JSON.stringify([checkId, role, entry, isThere ? read.analysisKey : null]);
		return { ...rest, ...(isThere ? { read } : {}), mark };
	});
}

function foundLesson(lesson: KeptLesson, spread: Spread | undefined): FoundLesson {
	const { entry, productName, runName } = lesson;
	const isOfOne = isOfSpread(entry);
	const key = JSON.stringify([isOfOne ? entry.kind : entry, spread?.photos.map(({ sha256 }) => sha256)]);
	const label = isOfOne ? `spread ${spread?.number} of ${productName}, ${runName}` : `${productName}, ${runName}`;
	const photo = isOfOne ? spread?.photos.find(({ state }) => state.kind === 'graded') : undefined;
	if (photo?.state.kind !== 'graded') return { lesson, key, label };
	return { lesson, key, label, read: { photo, analysisKey: photo.state.analysisKey } };
}

/**
 * Which of them count for a run of the material.
 *
 * A run taken in twice has its checks twice; the same check counts once, and a spread's latest sort.
 */
export function lessonsAmong({ all }: Lessons, runId: string): readonly TaughtLesson[] {
	const seen = new Set(all.filter(({ lesson }) => lesson.runId === runId).map(({ key }) => key));
	const taught: TaughtLesson[] = [];
	for (const one of all) {
		if (taught.length >= MOST_LESSONS) break;
		const { lesson, key, read } = one;
		if (!lesson.isTaught || lesson.runId === runId || seen.has(key)) continue;
		seen.add(key);
		if (read !== undefined || !isOfSpread(lesson.entry)) taught.push(one);
	}
	return taught;
}

/** What other runs of the same material taught, with the reading of each sorted spread and blank. */
export async function lessonsFor(
	store: Store,
	run: { readonly id: string; readonly material: string; readonly demo: boolean },
): Promise<readonly TaughtCheck[]> {
	const taught = lessonsAmong(await findLessons(store, run), run.id);
	const analyses = await getAnalyses(
		store,
		taught.flatMap(({ read }) => (read === undefined ? [] : [read.analysisKey])),
	);
	return taught.flatMap(({ lesson: { checkId: id, entry, role }, label, read }) => {
		if (read === undefined || !isOfSpread(entry)) return [{ id, label, role, check: entry }];
		const reading = analyses.get(read.analysisKey)?.reading;
		return reading === undefined
			? []
			: [{ id, label, role, check: { ...entry, spread: 1 }, reading, photo: read.photo }];
	});
}

/** The words of now for checks that are named by their ids in what a run of the material came to. */
export async function lessonWords(
	store: Store,
	run: { readonly material: string; readonly demo: boolean },
): Promise<ReadonlyMap<string, string>> {
	return new Map((await findLessons(store, run)).all.map(({ lesson, label }) => [lesson.checkId, label]));
}

/** Let a check count for other runs of its material, or not. @throws TrayError `not-found` */
export async function setTaught(store: Store, checkId: string, isTaught: boolean): Promise<void> {
	const { numUpdatedRows } = await store.db
		.updateTable('product_check')
		.set({ taught: isTaught ? 1 : 0 })
		.where('id', '=', checkId)
		.executeTakeFirst();
	if (numUpdatedRows === 0n) notFound('check');
}

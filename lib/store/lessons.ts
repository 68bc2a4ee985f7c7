import 'server-only';
import { type CheckInput, checkSchema, isOfSpread } from '../grade/checkEntry';
import { TEACHING_KINDS } from '../grade/lesson';
import type { ProductRole } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import { getAnalyses } from './analyses';
import type { Store } from './database';
import { notFound } from './notFound';
import { listSpreads, type Photo, type Spread } from './photos';

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
	readonly label: string;
	readonly role: ProductRole;
	/** As typed; of a check about a spread, `reading` is that spread's. */
	readonly check: CheckInput;
	readonly reading?: SpreadReading;
	/** The photo that the reading is of. */
	readonly photo?: Photo;
}

/** Most checks of other runs that count, the latest first; each takes some milliseconds of every working out. */
const MOST_LESSONS = 30;

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

/**
 * What other runs of the same material taught, with the reading of each sorted spread and blank.
 *
 * A run taken in twice has its checks twice; the same check counts once, and a spread's latest sort.
 */
export async function lessonsFor(
	store: Store,
	run: { readonly id: string; readonly material: string; readonly demo: boolean },
): Promise<readonly TaughtCheck[]> {
	const all = await listLessons(store, run);
	const seen = new Set<string>();
	for (const own of all.filter(({ runId }) => runId === run.id)) seen.add(keyOf(own, await spreadOf(store, own)));
	const taught: TaughtCheck[] = [];
	for (const lesson of all) {
		if (!lesson.isTaught || lesson.runId === run.id || taught.length >= MOST_LESSONS) continue;
		const spread = await spreadOf(store, lesson);
		const key = keyOf(lesson, spread);
		if (seen.has(key)) continue;
		seen.add(key);
		const found = await taughtBy(store, lesson, spread);
		if (found !== undefined) taught.push(found);
	}
	return taught;
}

/** The spread that a check is about, where its photos are still there. */
async function spreadOf(store: Store, { productId, spreadId }: KeptLesson): Promise<Spread | undefined> {
	return spreadId === undefined ? undefined : (await listSpreads(store, productId)).find(({ id }) => id === spreadId);
}

/** The same for the same check, and for all sorts of one spread's photos, of which the latest counts. */
function keyOf({ entry }: KeptLesson, spread: Spread | undefined): string {
	return JSON.stringify([isOfSpread(entry) ? entry.kind : entry, spread?.photos.map(({ sha256 }) => sha256)]);
}

async function taughtBy(
	store: Store,
	{ entry, productName, role, runName }: KeptLesson,
	spread: Spread | undefined,
): Promise<TaughtCheck | undefined> {
	if (!isOfSpread(entry)) return { label: `${productName}, ${runName}`, role, check: entry };
	const photo = spread?.photos.find(({ state }) => state.kind === 'graded');
	if (spread === undefined || photo?.state.kind !== 'graded') return undefined;
	const key = photo.state.analysisKey;
	const reading = (await getAnalyses(store, [key])).get(key)?.reading;
	if (reading === undefined) return undefined;
	const label = `spread ${spread.number} of ${productName}, ${runName}`;
	return { label, role, check: { ...entry, spread: 1 }, reading, photo };
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

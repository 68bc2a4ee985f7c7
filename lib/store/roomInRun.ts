import 'server-only';
import { TrayError } from '../errors/TrayError';
import { MOST } from '../report/runFile';
import type { Store } from './database';
import { QUICK_RUN_ID } from './quickIds';

type Reading = Pick<Store['db'], 'selectFrom'>;

/** @throws TrayError `usage` where a spread, its bin or its run holds as many photos as it takes */
export async function needRoomForPhoto(db: Reading, productId: string, spreadId: string): Promise<void> {
	const product = await db.selectFrom('product').select('run_id').where('id', '=', productId).executeTakeFirst();
	// each quick check is a bin of one run
	const isQuick = product?.run_id === QUICK_RUN_ID;
	const bins = db.selectFrom('product').select('id').where('deleted_at', 'is', null);
	const rows = await db
		.selectFrom('spread')
		.innerJoin('photo', 'photo.spread_id', 'spread.id')
		.select(({ fn }) => ['spread.id', 'spread.product_id', fn.countAll<number | string>().as('photos')])
		.where('photo.deleted_at', 'is', null)
		.where('spread.product_id', 'in', isQuick ? [productId] : bins.where('run_id', '=', product?.run_id ?? ''))
		.groupBy(['spread.id', 'spread.product_id'])
		.execute();
	const spread = rows.find(({ id }) => id === spreadId);
	const spreads = rows.filter(({ product_id }) => product_id === productId).length;
	if (Number(spread?.photos) >= MOST.photosOfSpread) full('spread', `${MOST.photosOfSpread} photos`);
	if (spread === undefined && spreads >= MOST.spreadsOfBin) full('bin', `${MOST.spreadsOfBin} spreads`);
	if (rows.reduce((sum, { photos }) => sum + Number(photos), 0) >= MOST.photos) full('run', `${MOST.photos} photos`);
}

/** @throws TrayError `usage` where a run has as many others as it takes */
export async function needRoomForBin(db: Reading, id: string, runId: string): Promise<void> {
	if (runId === QUICK_RUN_ID) return;
	const bins = db.selectFrom('product').where('run_id', '=', runId).where('deleted_at', 'is', null);
	const others = await bins.select('id').where('id', '!=', id).limit(MOST.bins).execute();
	if (others.length === MOST.bins) full('run', `${MOST.bins} bins`);
}

/** @throws TrayError `usage` where a bin has as many others as it takes */
export async function needRoomForCheck(db: Reading, id: string, productId: string): Promise<void> {
	const checks = db.selectFrom('product_check').where('product_id', '=', productId).where('deleted_at', 'is', null);
	const others = await checks.select('id').where('id', '!=', id).limit(MOST.checksOfBin).execute();
	if (others.length === MOST.checksOfBin) full('bin', `${MOST.checksOfBin} checks`);
}

function full(what: string, held: string): never {
	const hint = 'Remove what is not needed there, or start another run.';
	throw new TrayError('usage', `This ${what} has ${held}, the most that one takes.`, hint);
}

import 'server-only';
import type { BalanceWarning } from '../balance/balanceWarning';
import { carryOverWarning } from '../report/carryOver';
import {
	BY_ONE_SPREAD,
	contradictionSentence,
	disagreementSentence,
	impossibleSentence,
} from '../report/checkSentences';
import { leftOutSentence } from '../report/progressSentences';
import { type CleanlinessRecord, LONGEST_WARNING } from '../report/recordSchema';
import { warningsBySpread } from '../report/recordSeen';
import type { WorkedRun } from './analysis';
import type { Store } from './database';
import { getMaterial } from './materials';
import { labelsOf } from './runProducts';
import { isSpreadRead, type ProductOnBoard, type RunBoard, unreadPhotosOf } from './workedRun';

/** What people changed by hand on the way to a product's figures. */
export async function correctionsOf(
	store: Store,
	{ id, spreads }: ProductOnBoard,
	runMaterial: string,
): Promise<CleanlinessRecord['corrections']> {
	const photos = spreads.flatMap((spread) => spread.photos);
	const { taken } = await store.db
		.selectFrom('photo')
		.innerJoin('spread', 'spread.id', 'photo.spread_id')
		.select((eb) => eb.fn.countAll<number>().as('taken'))
		.where('spread.product_id', '=', id)
		// taken again, or its reading left off: it stands on record and does not count
		.where((eb) => eb.or([eb('photo.deleted_at', 'is not', null), eb('photo.held', 'is not', null)]))
		.executeTakeFirstOrThrow();
	const names = new Set(photos.map(({ choice }) => choice.material ?? runMaterial));
	const materials = await Promise.all([...names].map((name) => getMaterial(store, name)));
	return {
		cornersByHand: photos.filter(({ choice }) => choice.corners !== undefined).length,
		readingByHand: photos.filter(({ choice }) => choice.method !== 'auto' || choice.material !== undefined).length,
		photosTakenOut: Number(taken),
		spotsTaught: materials.reduce((sum, { spots = [] }) => sum + spots.length, 0),
	};
}

/** Every warning of a product, its photos, its account and its checks, as its record tells them. */
export function warningsOf(
	{ run, products }: RunBoard,
	product: ProductOnBoard,
	{ account, sorting, checked }: WorkedRun,
): string[] {
	const photos = product.spreads.flatMap(({ number, photos: shown }) =>
		shown.map(({ analysis }) => ({ spread: number, warnings: analysis?.warnings ?? [] })),
	);
	const leftOut = leftOutSentence(unreadPhotosOf(product));
	const carryOver = carryOverWarning(run.settings);
	const contradiction = contradictionSentence(sorting);
	const label = labelsOf(products).get(product.id) ?? '';
	const disagreement = checked[label] && disagreementSentence(checked[label]);
	const isOwn = ({ code, products: about = [] }: BalanceWarning) =>
		code === 'balance-does-not-close' || about.includes(label);
	return [
		...warningsBySpread(photos),
		...(leftOut === undefined ? [] : [leftOut]),
		...(product.spreads.filter(isSpreadRead).length === 1 ? [BY_ONE_SPREAD] : []),
		...(carryOver === undefined ? [] : [carryOver.message]),
		...account.warnings.filter(isOwn).map(({ message }) => message),
		...(disagreement === undefined ? [] : [disagreement]),
		...(checked[label]?.impossible ?? []).map(impossibleSentence),
		...(contradiction === undefined ? [] : [contradiction]),
	].map(cutToForm);
}

/** A sentence that names forty bins of long names is cut after a word: a record without its end is better than none. */
function cutToForm(sentence: string): string {
	return sentence.length <= LONGEST_WARNING
		? sentence
		: sentence.slice(0, LONGEST_WARNING - 1).replace(/\s\S*$/u, ' …');
}

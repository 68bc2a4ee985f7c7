'use server';

import { redirect } from 'next/navigation';
import { readCheckForm, spreadFieldOf } from '@/app/_forms/checkForm';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { FieldReader } from '@/app/_forms/readFields';
import { isOfSpread } from '@/lib/grade/checkEntry';
import { blankQuestion } from '@/lib/report/checkText';
import { removeCheck, restoreCheck, saveNewCheck } from '@/lib/store/checks';
import { setTaught } from '@/lib/store/lessons';
import { getProduct } from '@/lib/store/products';
import { theStore } from '@/lib/store/theStore';
import { copperSeenOn, getBoard } from '@/lib/store/workedRun';

/** Save a check of a product by hand or by a laboratory. */
export const saveCheck = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const fields = new FieldReader(typed);
	const entry = readCheckForm(typed, fields);
	const at = spreadFieldOf(entry?.kind ?? '');
	if (entry !== undefined && isOfSpread(entry) && !fields.has(at))
		fields.problem(at, 'Choose the spread that it is about');
	if (entry === undefined || fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const { store } = await theStore();
	const { id: productId, runId } = await getProduct(store, idOf(typed.productId));
	const spread = isOfSpread(entry) ? { spreadId: idOf(typed[at]) } : {};
	if (entry.kind === 'blank' && typed.isClean !== 'yes') {
		const { products } = await getBoard(store, runId);
		const named = products.flatMap(({ spreads }) => spreads).find(({ id }) => id === spread.spreadId);
		const copper = copperSeenOn(named);
		const question = named && copper && blankQuestion(named.number, copper);
		if (question !== undefined) return sentBack(before, form, [{ field: 'isClean', message: question }]);
	}
	await saveNewCheck(store, { id: idOf(typed.id), productId, entry, ...spread }, before.attempt > 0);
	redirect(`/runs/${runId}/products/${productId}/checks`);
});

/** Take a check away; the page offers to bring it back. */
export async function deleteCheck(form: FormData): Promise<void> {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	const { id: productId, runId } = await getProduct(store, await removeCheck(store, id));
	redirect(`/runs/${runId}/products/${productId}/checks?undo=check&id=${id}`);
}

/** Leave a check out of other runs of its material. */
export async function stopTeaching(form: FormData): Promise<void> {
	await setTaught((await theStore()).store, idOf(form.get('id')), false);
	redirect('/materials');
}

/** Let a check count for other runs of its material again. */
export async function letTeach(form: FormData): Promise<void> {
	await setTaught((await theStore()).store, idOf(form.get('id')), true);
	redirect('/materials');
}

/** Bring a removed check back. */
export async function undeleteCheck(form: FormData): Promise<void> {
	const { store } = await theStore();
	const { id: productId, runId } = await getProduct(store, await restoreCheck(store, idOf(form.get('id'))));
	redirect(`/runs/${runId}/products/${productId}/checks`);
}

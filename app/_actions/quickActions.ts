'use server';

import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { FieldReader } from '@/app/_forms/readFields';
import { getProduct, removeProduct, restoreProduct } from '@/lib/store/products';
import { keepQuickCheck } from '@/lib/store/quickChecks';
import { theStore } from '@/lib/store/theStore';

/** Keep a quick check as a spread of the bin that was chosen. */
export const saveQuickCheck = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const fields = new FieldReader(typed);
	const bin = fields.needed('bin', 'Choose the bin that the photo shows');
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const { store, queue } = await theStore();
	const { id, runId } = await getProduct(store, idOf(bin));
	await keepQuickCheck(store, idOf(typed.id), id);
	queue.wake();
	redirect(`/runs/${runId}/products/${id}`);
});

/** Throw a quick check away; the next page offers to bring it back. */
export async function throwAwayQuickCheck(form: FormData): Promise<void> {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await removeProduct(store, id);
	redirect(`/quick?undo=quick&id=${id}`);
}

/** Bring a quick check back. */
export async function undeleteQuickCheck(form: FormData): Promise<void> {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await restoreProduct(store, id);
	redirect(`/quick/${id}`);
}

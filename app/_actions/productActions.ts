'use server';

import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { mergeEdit } from '@/app/_forms/mergeEdit';
import { orGone } from '@/app/_forms/orGone';
import { FieldReader } from '@/app/_forms/readFields';
import { nextBin, tableAddress } from '@/app/_forms/tableSteps';
import { readWeighingForm, typedWeighing, withUnasked } from '@/app/_forms/weighingForm';
import { PRODUCT_ROLES } from '@/lib/material/classes';
import {
	changeProduct,
	getProduct,
	removeProduct,
	restoreProduct,
	saveNewProduct,
	weighProduct,
} from '@/lib/store/products';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';

function readProductForm(typed: Readonly<Record<string, string>>) {
	const fields = new FieldReader(typed);
	const entry = {
		name: fields.needed('name', 'Enter a name for the product'),
		role: fields.choice('role', PRODUCT_ROLES, 'Choose what kind of product it is'),
	};
	return { entry, fields };
}

/** Add a product to a run. */
export const createProduct = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const { entry, fields } = readProductForm(typed);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const { store } = await theStore();
	const { id: runId } = await getRun(store, idOf(typed.runId));
	await saveNewProduct(store, idOf(typed.id), runId, entry, before.attempt > 0);
	redirect(`/runs/${runId}`);
});

/** Rename a product or change its kind. */
export const saveProduct = keepTyped(async (before, form) => {
	const { store } = await theStore();
	const id = idOf(form.get('id'));
	const { runId, name, role } = await getProduct(store, id);
	const { typed, clashes } = mergeEdit(typedOf(form), { name, role });
	const { entry, fields } = readProductForm(typed);
	const problems = [...clashes, ...fields.problems];
	if (problems.length > 0) return sentBack(before, typed, problems);
	await changeProduct(store, id, entry);
	redirect(`/runs/${runId}/products/${id}`);
});

/** Save what a bin weighed. An empty form takes the weight away. */
export const saveWeighing = keepTyped(async (before, form) => {
	const { store } = await theStore();
	const id = idOf(form.get('id'));
	const { runId, weighing: earlier } = await getProduct(store, id);
	// a weight, its unit and its moisture say one thing together
	const { typed, clashes } = mergeEdit(typedOf(form), typedWeighing(earlier), () => 'weighing');
	const fields = new FieldReader(typed);
	const weighing = readWeighingForm(typed, fields);
	const problems = [...clashes, ...fields.problems];
	if (problems.length > 0) return sentBack(before, typed, problems);
	await weighProduct(store, id, withUnasked(weighing, earlier));
	if (typed.then === 'table') {
		const { products } = await getBoard(store, runId);
		redirect(tableAddress(runId, nextBin(products, id)));
	}
	redirect(`/runs/${runId}/products/${id}`);
});

/** Remove a product; the next page offers to bring it back. */
export const deleteProduct = orGone(async (form) => {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	const { runId } = await getProduct(store, id);
	await removeProduct(store, id);
	redirect(`/runs/${runId}?undo=product&id=${id}`);
});

/** Bring a removed product back. */
export const undeleteProduct = orGone(async (form) => {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await restoreProduct(store, id);
	const { runId } = await getProduct(store, id);
	redirect(`/runs/${runId}/products/${id}`);
});

'use server';

import { randomUUID } from 'node:crypto';
import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { keepTyped } from '@/app/_forms/keepTyped';
import { lotGroup, readLotForm, typedLot } from '@/app/_forms/lotForm';
import { mergeEdit } from '@/app/_forms/mergeEdit';
import { changeLot, getLot, removeLot, restoreLot, saveNewLot } from '@/lib/store/lots';
import { theStore } from '@/lib/store/theStore';
import { idOf } from '../_forms/idOf';

/** Save a new lot and open it. */
export const createLot = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const { entry, fields } = readLotForm(typed);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const id = typed.id === undefined ? randomUUID() : idOf(typed.id);
	const { store } = await theStore();
	redirect(`/lots/${await saveNewLot(store, id, entry, before.attempt > 0)}`);
});

/** Save changes to a lot. */
export const saveLot = keepTyped(async (before, form) => {
	const { store } = await theStore();
	const id = idOf(form.get('id'));
	const { typed, clashes } = mergeEdit(typedOf(form), typedLot(await getLot(store, id)), lotGroup);
	const { entry, fields } = readLotForm(typed);
	const problems = [...clashes, ...fields.problems];
	if (problems.length > 0) return sentBack(before, typed, problems);
	await changeLot(store, id, entry);
	redirect(`/lots/${id}`);
});

/** Remove a lot; the next page offers to bring it back. */
export async function deleteLot(form: FormData): Promise<void> {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await removeLot(store, id);
	redirect(`/lots?undo=lot&id=${id}`);
}

/** Bring a removed lot back. */
export async function undeleteLot(form: FormData): Promise<void> {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await restoreLot(store, id);
	redirect(`/lots/${id}`);
}

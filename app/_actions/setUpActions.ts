'use server';

import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { keepTyped } from '@/app/_forms/keepTyped';
import { readMatForm } from '@/app/_forms/matForm';
import { FieldReader } from '@/app/_forms/readFields';
import { todayOfRequest } from '@/app/_http/presentRequest';
import { toldOf } from '@/lib/errors/TrayError';
import { loadDemo, removeDemo } from '@/lib/store/demo';
import { removeMaterial, restoreMaterial, saveMaterial } from '@/lib/store/materials';
import { requeueMaterial } from '@/lib/store/readAnew';
import { saveMatPrint } from '@/lib/store/settings';
import { theStore } from '@/lib/store/theStore';

/** Put on record what the printer made of the mat. */
export const saveMatCheck = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const fields = new FieldReader(typed);
	const print = readMatForm(typed, fields);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const { store } = await theStore();
	await saveMatPrint(store, { ...print, measuredOn: await todayOfRequest() });
	redirect('/mat?saved=1');
});

/** Load the demonstration run; its photos are read from scratch. */
export async function loadDemoRun(): Promise<void> {
	const { store, queue } = await theStore();
	const runId = await loadDemo(store);
	queue.wake();
	redirect(runId === undefined ? '/' : `/runs/${runId}`);
}

/** Take the demonstration run away. */
export async function removeDemoRun(): Promise<void> {
	const { store } = await theStore();
	await removeDemo(store);
	redirect('/');
}

/** Keep a material of the user's own. */
export const addMaterial = keepTyped(async (before, form) => {
	const file = form.get('file');
	if (!(file instanceof File) || file.size === 0) {
		return sentBack(before, form, [{ field: 'file', message: 'Choose a material file' }]);
	}
	try {
		const { store, queue } = await theStore();
		const { name } = await saveMaterial(store, await file.text());
		await requeueMaterial(store, name);
		queue.wake();
	} catch (cause) {
		return sentBack(before, form, [{ field: 'file', message: toldOf(cause) }]);
	}
	redirect('/materials');
});

/** Take a material of the user's own away; the page offers to bring it back. */
export async function deleteMaterial(form: FormData): Promise<void> {
	const name = typedOf(form).id ?? '';
	await removeMaterial((await theStore()).store, name);
	redirect(`/materials?undo=material&id=${encodeURIComponent(name)}`);
}

/** Bring a removed material back. */
export async function undeleteMaterial(form: FormData): Promise<void> {
	await restoreMaterial((await theStore()).store, typedOf(form).id ?? '');
	redirect('/materials');
}

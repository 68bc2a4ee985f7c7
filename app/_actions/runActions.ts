'use server';

import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { mergeEdit } from '@/app/_forms/mergeEdit';
import { FieldReader } from '@/app/_forms/readFields';
import { readRunForm, runGroup, typedRun, withUnaskedFeed } from '@/app/_forms/runForm';
import { nextBin, tableAddress } from '@/app/_forms/tableSteps';
import { readWeighingForm, typedWeighing, withUnasked } from '@/app/_forms/weighingForm';
import { getLot } from '@/lib/store/lots';
import { requeueRun } from '@/lib/store/readAnew';
import { changeRun, getRun, removeRun, restoreRun, saveNewRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';

/** Save a new run and open its board. */
export const createRun = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const { entry, fields } = readRunForm(typed);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const id = idOf(typed.id);
	const { store } = await theStore();
	const lot = await getLot(store, idOf(typed.lotId));
	redirect(`/runs/${await saveNewRun(store, id, lot.id, entry, before.attempt > 0)}`);
});

/** Save changes to a run; photos are read again when the material changed. */
export const saveRun = keepTyped(async (before, form) => {
	const { store, queue } = await theStore();
	const id = idOf(form.get('id'));
	const run = await getRun(store, id);
	const { typed, clashes } = mergeEdit(typedOf(form), typedRun(run), runGroup);
	const { entry, fields } = readRunForm(typed);
	const problems = [...clashes, ...fields.problems];
	if (problems.length > 0) return sentBack(before, typed, problems);
	const { material, feed } = run;
	await changeRun(store, id, withUnaskedFeed(entry, feed));
	if (material !== entry.material) {
		await requeueRun(store, id);
		queue.wake();
	}
	redirect(`/runs/${id}`);
});

/** Read all photos of a run again, after an upgrade. */
export async function readRunAgain(form: FormData): Promise<void> {
	const { store, queue } = await theStore();
	const { id } = await getRun(store, idOf(form.get('id')));
	await requeueRun(store, id);
	queue.wake();
	redirect(`/runs/${id}`);
}

/** Save what the feed weighed and leave the rest of the run as it is. An empty form takes the weight away. */
export const saveFeedWeighing = keepTyped(async (before, form) => {
	const { store } = await theStore();
	const id = idOf(form.get('id'));
	const run = await getRun(store, id);
	const earlier = run.feed.weighing;
	const { typed, clashes } = mergeEdit(typedOf(form), typedWeighing(earlier), () => 'weighing');
	const fields = new FieldReader(typed);
	const weighing = withUnasked(readWeighingForm(typed, fields), earlier);
	const problems = [...clashes, ...fields.problems];
	if (problems.length > 0) return sentBack(before, typed, problems);
	const { weighing: _, ...feed } = run.feed;
	await changeRun(store, id, { ...run, feed: weighing === undefined ? feed : { ...feed, weighing } });
	if (typed.then === 'run') redirect(`/runs/${id}`);
	const { products } = await getBoard(store, id);
	redirect(tableAddress(id, nextBin(products)));
});

/** Remove a run; the next page offers to bring it back. */
export async function deleteRun(form: FormData): Promise<void> {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await removeRun(store, id);
	redirect(`/runs?undo=run&id=${id}`);
}

/** Bring a removed run back. */
export async function undeleteRun(form: FormData): Promise<void> {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	await restoreRun(store, id);
	redirect(`/runs/${id}`);
}

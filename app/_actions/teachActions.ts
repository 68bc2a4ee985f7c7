'use server';

import { redirect } from 'next/navigation';
import { z } from 'zod';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { materialNameOf } from '@/app/_forms/materialNameOf';
import { toldOf } from '@/lib/errors/TrayError';
import { taughtSpotSchema } from '@/lib/material/taughtSpot';
import { getPhoto, setAside } from '@/lib/store/photos';
import { requeueRun } from '@/lib/store/readAnew';
import { setRunMaterial } from '@/lib/store/runs';
import { applyLessons, keepSpots, lessonsOf, startTeaching, undoSpots } from '@/lib/store/teaching';
import { theStore } from '@/lib/store/theStore';

const spotsSchema = z.array(taughtSpotSchema).min(1).max(50);
const idsSchema = z.array(z.string().min(1).max(80)).min(1).max(50);

/** What a teaching step answers: nothing, or what went wrong. */
export type TeachAnswer = { readonly problem?: string };

/** Begin a taught material, or go on with one; then on to the photo. */
export const beginTeaching = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const photoId = idOf(typed.photoId);
	const known = typed.known ?? '';
	// whoever types a name means it, whatever stands chosen above
	const name = (typed.name ?? '').trim() || known;
	try {
		const { store } = await theStore();
		if (known === '' || name !== known) await startTeaching(store, name, typed.base ?? '');
	} catch (cause) {
		return sentBack(before, form, [{ field: 'name', message: toldOf(cause) }]);
	}
	redirect(`/teach/${photoId}?material=${encodeURIComponent(name)}`);
});

/** Keep spots as they are tapped. */
export async function teachSpots(material: string, spots: unknown): Promise<TeachAnswer> {
	const parsed = spotsSchema.safeParse(spots);
	if (!parsed.success) return { problem: 'This spot cannot be kept. Tap another place.' };
	return answering(async () => {
		const { store } = await theStore();
		const { name } = await lessonsOf(store, materialNameOf(material));
		await keepSpots(store, name, parsed.data);
	});
}

/** Undo spots. */
export async function unteachSpots(material: string, ids: unknown): Promise<TeachAnswer> {
	const parsed = idsSchema.safeParse(ids);
	if (!parsed.success) return { problem: 'These spots cannot be undone.' };
	return answering(async () => {
		const { store } = await theStore();
		await undoSpots(store, materialNameOf(material), parsed.data);
	});
}

/** Count a photo no more that shows an empty tray or clean insulation: it is no sample of its bin. */
export async function leaveOutTaught(photo: string): Promise<TeachAnswer> {
	return answering(async () => {
		const { store } = await theStore();
		const { id } = await getPhoto(store, idOf(photo));
		await setAside(store, id);
	});
}

async function answering(work: () => Promise<void>): Promise<TeachAnswer> {
	try {
		await work();
		return {};
	} catch (cause) {
		return { problem: toldOf(cause) };
	}
}

/** Read photos with what was taught: all that use the material, and this photo's run if it is to use it from now on. */
export const readWithLessons = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const photoId = idOf(typed.photoId);
	const name = materialNameOf(typed.material);
	const { store, pool, queue } = await theStore();
	const { runId, spreadId } = await getPhoto(store, photoId);
	try {
		await applyLessons(store, pool, name);
	} catch (cause) {
		return sentBack(before, form, [{ field: '', message: toldOf(cause) }]);
	}
	if (typed.forRun === 'yes') {
		await setRunMaterial(store, runId, name);
		await requeueRun(store, runId);
	}
	queue.wake();
	redirect(`/runs/${runId}/spreads/${spreadId}`);
});

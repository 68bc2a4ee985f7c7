'use server';

import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { orGone } from '@/app/_forms/orGone';
import { FieldReader } from '@/app/_forms/readFields';
import { readReadingForm } from '@/app/_forms/readingForm';
import { MASS_UNITS, readMass } from '@/lib/quantity/units';
import { choosePhotoReading, getPhoto, removePhoto, restorePhoto, setAsideRefused } from '@/lib/store/photos';
import { getProduct } from '@/lib/store/products';
import { QUICK_RUN_ID } from '@/lib/store/quickIds';
import { weighSpread } from '@/lib/store/spreads';
import { theStore } from '@/lib/store/theStore';

/** Read a photo in another way. */
export const saveReading = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const { choice, fields } = readReadingForm(typed);
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const id = idOf(typed.id);
	const { store, queue } = await theStore();
	const photo = await getPhoto(store, id);
	// the form asks nothing about the mat's print, which stays as it came with the photo
	const { printedScale } = photo.choice;
	await choosePhotoReading(store, id, printedScale === undefined ? choice : { ...choice, printedScale });
	queue.wake();
	redirect(pageOf(photo));
});

/** Read a photo again in the same way, after a stumble. */
export const readAgain = orGone(async (form) => {
	const id = idOf(form.get('id'));
	const { store, queue } = await theStore();
	const photo = await getPhoto(store, id);
	await choosePhotoReading(store, id, photo.choice);
	queue.wake();
	redirect(pageOf(photo));
});

/** The page that shows a photo: its spread's, or its quick check's. */
function pageOf({ runId, spreadId, productId }: Awaited<ReturnType<typeof getPhoto>>): string {
	return runId === QUICK_RUN_ID ? `/quick/${productId}` : `/runs/${runId}/spreads/${spreadId}`;
}

/** Put the mass of a spread on record; an empty field takes it away. */
export const saveSpreadMass = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const fields = new FieldReader(typed);
	const unit = fields.choice('unit', MASS_UNITS, 'Choose the unit');
	let massKg: number | undefined;
	try {
		if (fields.has('mass')) massKg = readMass(typed.mass ?? '', "The spread's mass", unit).massKg;
		if (massKg !== undefined && !(massKg > 0 && massKg <= 100)) {
			fields.problem('mass', "The spread's mass must be above zero and below 100 kg. Check number and unit.");
		}
	} catch (cause) {
		fields.caught('mass', cause);
	}
	if (fields.problems.length > 0) return sentBack(before, form, fields.problems);
	const { store } = await theStore();
	const { runId, spreadId } = await getPhoto(store, idOf(typed.photoId));
	await weighSpread(store, spreadId, massKg, unit);
	redirect(`/runs/${runId}/spreads/${spreadId}`);
});

/** Remove a photo; the next page offers to bring it back. */
export const deletePhoto = orGone(async (form) => {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	const { runId, productId } = await getPhoto(store, id);
	await removePhoto(store, id);
	redirect(`/runs/${runId}/products/${productId}?undo=photo&id=${id}`);
});

/** Leave out the photos of a bin that could not be read. */
export const leaveOutUnread = orGone(async (form) => {
	const id = idOf(form.get('id'));
	const { store } = await theStore();
	const { runId } = await getProduct(store, id);
	await setAsideRefused(store, id);
	redirect(`/runs/${runId}/table/${id}`);
});

/** Bring a removed photo back. */
export const undeletePhoto = orGone(async (form) => {
	const id = idOf(form.get('id'));
	const { store, queue } = await theStore();
	const { id: productId, runId } = await getProduct(store, await restorePhoto(store, id));
	queue.wake();
	redirect(`/runs/${runId}/products/${productId}`);
});

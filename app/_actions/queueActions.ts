'use server';

import { idOf } from '@/app/_forms/idOf';
import { theStore } from '@/lib/store/theStore';

/** Leave off reading photos, of one run or of all. */
export async function stopReading(form: FormData): Promise<void> {
	const { queue } = await theStore();
	await queue.stop(runOf(form));
}

/** Read the photos whose reading was stopped. */
export async function resumeReading(form: FormData): Promise<void> {
	const { queue } = await theStore();
	await queue.resume(runOf(form));
}

function runOf(form: FormData): string | undefined {
	const given = form.get('id');
	return given === null ? undefined : idOf(given);
}

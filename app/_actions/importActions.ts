'use server';

import { redirect } from 'next/navigation';
import { sentBack } from '@/app/_forms/formState';
import { keepTyped } from '@/app/_forms/keepTyped';
import { toldOf } from '@/lib/errors/TrayError';
import { type ImportedRun, importRun } from '@/lib/store/importRun';
import { theStore } from '@/lib/store/theStore';

/** Take in a run from its file, open it, and have its photos read. */
export const takeInRun = keepTyped(async (before, form) => {
	const file = form.get('file');
	const refuse = (message: string) => sentBack(before, form, [{ field: 'file', message }]);
	if (!(file instanceof File) || file.size === 0) return refuse('Choose a file that was saved from a run');
	let imported: ImportedRun;
	const { store, queue } = await theStore();
	try {
		imported = await importRun(store, await file.text());
	} catch (cause) {
		return refuse(toldOf(cause));
	}
	queue.wake();
	const { runId, missingPhotos, unknownPhotos } = imported;
	const left = missingPhotos.length + unknownPhotos.length;
	redirect(
		left === 0
			? `/runs/${runId}`
			: `/runs/import?run=${runId}&missing=${missingPhotos.length}&unknown=${unknownPhotos.length}`,
	);
});

'use server';

import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { keepTyped } from '@/app/_forms/keepTyped';
import { FieldReader } from '@/app/_forms/readFields';
import { TrayError } from '@/lib/errors/TrayError';
import { MAT_SIZES } from '@/lib/photo/matGeometry';
import { loadDemo, removeDemo } from '@/lib/store/demo';
import { saveMaterial } from '@/lib/store/materials';
import { requeueMaterial } from '@/lib/store/photos';
import { saveMatPrint } from '@/lib/store/settings';
import { theStore } from '@/lib/store/theStore';

/** Put on record what the printer made of the mat. */
export const saveMatCheck = keepTyped(async (before, form) => {
  const fields = new FieldReader(typedOf(form));
  const size = fields.choice('size', MAT_SIZES, 'Choose the sheet that was printed');
  const checkLineMm = fields.number('checkLineMm', 'The check line', { least: 50, most: 200, unit: 'mm' });
  if (!fields.has('checkLineMm')) fields.problem('checkLineMm', 'Measure the check line and enter its length in mm');
  if (fields.problems.length > 0 || checkLineMm === undefined) return sentBack(before, form, fields.problems);
  const { store } = await theStore();
  await saveMatPrint(store, { size, checkLineMm, measuredOn: new Date().toISOString().slice(0, 10) });
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
  if (file.size > 500_000)
    return sentBack(before, form, [{ field: 'file', message: 'This file is too large to be a material.' }]);
  try {
    const { store, queue } = await theStore();
    const { name } = await saveMaterial(store, await file.text());
    await requeueMaterial(store, name);
    queue.wake();
  } catch (cause) {
    if (!(cause instanceof TrayError)) throw cause;
    return sentBack(before, form, [{ field: 'file', message: `${cause.message} ${cause.hint}` }]);
  }
  redirect('/materials');
});

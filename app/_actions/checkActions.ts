'use server';

import { redirect } from 'next/navigation';
import { readCheckForm } from '@/app/_forms/checkForm';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { FieldReader } from '@/app/_forms/readFields';
import { addCheck, removeCheck, restoreCheck } from '@/lib/store/checks';
import { getProduct } from '@/lib/store/products';
import { theStore } from '@/lib/store/theStore';

/** Save a check of a product by hand or by a laboratory. */
export const saveCheck = keepTyped(async (before, form) => {
  const typed = typedOf(form);
  const fields = new FieldReader(typed);
  const entry = readCheckForm(typed, fields);
  if (entry?.kind === 'handSort' && !fields.has('spreadId'))
    fields.problem('spreadId', 'Choose the spread that was sorted');
  if (entry === undefined || fields.problems.length > 0) return sentBack(before, form, fields.problems);
  const { store } = await theStore();
  const { id: productId, runId } = await getProduct(store, idOf(typed.productId));
  await addCheck(store, {
    id: idOf(typed.id),
    productId,
    entry,
    ...(entry.kind === 'handSort' ? { spreadId: idOf(typed.spreadId) } : {}),
  });
  redirect(`/runs/${runId}/products/${productId}/checks`);
});

/** Take a check away; the page offers to bring it back. */
export async function deleteCheck(form: FormData): Promise<void> {
  const id = idOf(form.get('id'));
  const { store } = await theStore();
  const { id: productId, runId } = await getProduct(store, await removeCheck(store, id));
  redirect(`/runs/${runId}/products/${productId}/checks?undo=check&id=${id}`);
}

/** Bring a removed check back. */
export async function undeleteCheck(form: FormData): Promise<void> {
  const { store } = await theStore();
  const { id: productId, runId } = await getProduct(store, await restoreCheck(store, idOf(form.get('id'))));
  redirect(`/runs/${runId}/products/${productId}/checks`);
}

'use server';

import { redirect } from 'next/navigation';
import { sentBack, typedOf } from '@/app/_forms/formState';
import { idOf } from '@/app/_forms/idOf';
import { keepTyped } from '@/app/_forms/keepTyped';
import { mergePriceForm } from '@/app/_forms/priceForm';
import { toldOf } from '@/lib/errors/TrayError';
import { latestPrices, savePrices } from '@/lib/store/prices';
import { theStore } from '@/lib/store/theStore';

/** Keep entered prices and go back to what the run is worth. */
export const keepPrices = keepTyped(async (before, form) => {
	const typed = typedOf(form);
	const runId = idOf(typed.runId);
	const { store } = await theStore();
	const { sheet, typed: merged, problems } = mergePriceForm(typed, (await latestPrices(store))?.sheet);
	if (sheet === undefined) return sentBack(before, merged, problems);
	try {
		await savePrices(store, idOf(typed.id), sheet);
	} catch (cause) {
		return sentBack(before, form, [{ field: 'chargesCurrency', message: toldOf(cause) }]);
	}
	redirect(`/runs/${runId}/money`);
});

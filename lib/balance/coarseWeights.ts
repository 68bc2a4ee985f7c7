import { fromKg } from '../quantity/units';
import type { BalanceWarning } from './balanceWarning';
import type { Weighing } from './weighing';

/** Gross weights written to fewer digits than their tare, as one of 4.00 kg typed as 4 is: they count as known no better. Bins alike are told in one. */
export function coarseWeights({
	feed,
	products,
}: {
	readonly feed?: { readonly weighing?: Weighing };
	readonly products: readonly { readonly name: string; readonly weighing?: Weighing }[];
}): readonly BalanceWarning[] {
	const steps = new Map<string, string[]>();
	for (const { name, weighing } of products) {
		const step = coarseStep(weighing);
		if (step !== undefined) steps.set(step, [...(steps.get(step) ?? []), name]);
	}
	const ofFeed = coarseStep(feed?.weighing);
	return [
		...(ofFeed === undefined ? [] : [{ code: 'weight-coarse', message: sentence('The feed', ofFeed) }]),
		...[...steps].map(([step, names]) => ({
			code: 'weight-coarse',
			message: sentence(names.join(', '), step),
			products: names,
		})),
	];
}

/** The gross weight's step in words, where its tare is known better. */
function coarseStep(weighing: Weighing | undefined): string | undefined {
	if (weighing?.tareResolutionKg === undefined || !(weighing.resolutionKg > 1.5 * weighing.tareResolutionKg)) return;
	return `${Number(fromKg(weighing.resolutionKg, weighing.unit).toPrecision(3))} ${weighing.unit}`;
}

function sentence(whose: string, step: string): string {
	return `${whose}: the gross weight was written with fewer digits than the tare, so it counts as read in steps of ${step}. If the scale showed more, write them, noughts too.`;
}

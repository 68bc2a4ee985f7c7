import { fromKg } from '../quantity/units';
import type { BalanceWarning } from './balanceWarning';
import type { Weighing } from './weighing';

/** Gross weights written to fewer digits than their tare, as one of 4.00 kg typed as 4 is: they count as known no better. */
export function coarseWeights({
	feed,
	products,
}: {
	readonly feed?: { readonly weighing?: Weighing };
	readonly products: readonly { readonly name: string; readonly weighing?: Weighing }[];
}): readonly BalanceWarning[] {
	return [
		...ofOne('The feed', feed?.weighing).map((message) => ({ code: 'weight-coarse', message })),
		...products.flatMap(({ name, weighing }) =>
			ofOne(name, weighing).map((message) => ({ code: 'weight-coarse', message, products: [name] })),
		),
	];
}

function ofOne(name: string, weighing: Weighing | undefined): readonly string[] {
	if (weighing?.tareResolutionKg === undefined || !(weighing.resolutionKg > 1.5 * weighing.tareResolutionKg)) return [];
	const step = `${Number(fromKg(weighing.resolutionKg, weighing.unit).toPrecision(3))} ${weighing.unit}`;
	return [
		`${name}: the gross weight was written with fewer digits than the tare, so it counts as read in steps of ${step}. If the scale showed more, write them, noughts too.`,
	];
}

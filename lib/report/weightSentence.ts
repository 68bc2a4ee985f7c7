import { netMassOf } from '../balance/dryMass';
import { measuredDryMass, type WeighedPlace } from '../balance/measuredMass';
import { driedBy } from '../balance/runChecks';
import { type WeighingInput, weighingSchema } from '../balance/weighing';
import { type CheckInput, checkSchema } from '../grade/checkEntry';
import { massUnitOf } from '../quantity/units';
import { printExactMass, printMass } from './format';

/**
 * `Weighed: 4.12 kg net, dry.`; or that it was not weighed yet. The dry mass is the account's, whether that was worked out or not.
 *
 * @param checks - of the product that was weighed: a dried sub-sample among them takes the place of the weighing's own moisture
 */
export function weightSentence(
	input: WeighingInput | undefined,
	place: WeighedPlace,
	checks: readonly { readonly entry: CheckInput }[] = [],
): string {
	if (input === undefined) return 'Not weighed yet.';
	const entered = weighingSchema.parse(input);
	const weighing = driedBy(
		entered,
		checks.map(({ entry }) => checkSchema.parse(entry)),
	);
	const unit = massUnitOf(input.unit ?? 'kg') ?? 'kg';
	const { resolutionKg, tareResolutionKg = resolutionKg } = weighing;
	const net = printExactMass(netMassOf(weighing).value, unit, Math.min(resolutionKg, tareResolutionKg));
	if (weighing.moisture === undefined) return `Weighed: ${net} net, dry.`;
	return `Weighed: ${net} net, wet; ${printMass(measuredDryMass(weighing, place), unit)} dry${weighing === entered ? '' : ', by what its dried sub-sample lost'}.`;
}

/** The same of what a run was fed with. */
export function feedSentence({
	name,
	feed: { weighing, scales },
}: {
	readonly name: string;
	readonly feed: { readonly weighing?: WeighingInput | undefined } & Pick<WeighedPlace, 'scales'>;
}): string {
	return weightSentence(weighing, { runId: name, key: 'feed', scales });
}

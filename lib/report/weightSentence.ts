import { netMassOf } from '../balance/dryMass';
import { measuredDryMass, type WeighedPlace } from '../balance/measuredMass';
import { type WeighingInput, weighingSchema } from '../balance/weighing';
import { massUnitOf } from '../quantity/units';
import { printExactMass, printMass } from './format';

/** `Weighed: 4.12 kg net, dry.`; or that it was not weighed yet. The dry mass is the account's, whether that was worked out or not. */
export function weightSentence(input: WeighingInput | undefined, place: WeighedPlace): string {
	if (input === undefined) return 'Not weighed yet.';
	const weighing = weighingSchema.parse(input);
	const unit = massUnitOf(input.unit ?? 'kg') ?? 'kg';
	const net = printExactMass(netMassOf(weighing).value, unit);
	if (weighing.moisture === undefined) return `Weighed: ${net} net, dry.`;
	return `Weighed: ${net} net, wet; ${printMass(measuredDryMass(weighing, place), unit)} dry.`;
}

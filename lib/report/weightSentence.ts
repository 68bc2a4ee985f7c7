import { dryMassOf, netMassOf } from '../balance/dryMass';
import { type WeighingInput, weighingSchema } from '../balance/weighing';
import { massUnitOf } from '../quantity/units';
import { printExactMass, printMass } from './format';

/** `Weighed: 4.12 kg net, dry.`; or that it was not weighed yet. */
export function weightSentence(input: WeighingInput | undefined): string {
  if (input === undefined) return 'Not weighed yet.';
  const weighing = weighingSchema.parse(input);
  const unit = massUnitOf(input.unit ?? 'kg') ?? 'kg';
  const net = printExactMass(netMassOf(weighing).value, unit);
  if (weighing.moisture === undefined) return `Weighed: ${net} net, dry.`;
  const { value, u } = dryMassOf(weighing);
  // the 95 % interval of a normal error
  const dry = printMass({ value, low: value - 1.96 * u, high: value + 1.96 * u }, unit);
  return `Weighed: ${net} net, wet; ${dry} dry.`;
}

import { dryMassOf, netMassOf } from '../balance/dryMass';
import { type WeighingInput, weighingSchema } from '../balance/weighing';
import type { Estimate } from '../quantity/quantity';
import { massUnitOf } from '../quantity/units';
import { printExactMass, printMass } from './format';

/** What is known beside a weighing. */
export interface BesideWeighing {
  /** Relative standard uncertainty of each scale, what it does to everything weighed on it. */
  readonly scales?: Readonly<Record<string, number>> | undefined;
  /** The dry mass as the account has it, where it was worked out: the same figure everywhere on a page. */
  readonly measured?: Estimate | undefined;
}

/** `Weighed: 4.12 kg net, dry.`; or that it was not weighed yet. */
export function weightSentence(input: WeighingInput | undefined, beside: BesideWeighing = {}): string {
  if (input === undefined) return 'Not weighed yet.';
  const weighing = weighingSchema.parse(input);
  const unit = massUnitOf(input.unit ?? 'kg') ?? 'kg';
  const net = printExactMass(netMassOf(weighing).value, unit);
  if (weighing.moisture === undefined) return `Weighed: ${net} net, dry.`;
  const { value, u: own } = dryMassOf(weighing);
  const u = Math.hypot(own, value * (beside.scales?.[weighing.scale ?? ''] ?? 0));
  // the 95 % interval of a normal error
  const dry = beside.measured ?? { value, low: value - 1.96 * u, high: value + 1.96 * u };
  return `Weighed: ${net} net, wet; ${printMass(dry, unit)} dry.`;
}

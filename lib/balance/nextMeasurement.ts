import type { Estimate } from '../quantity/quantity';
import type { Budget, Cause } from './budget';

/** What a person can do next to narrow a figure. */
export const ACTIONS = ['spread', 'handSort', 'strip', 'weigh'] as const;
export type Action = (typeof ACTIONS)[number];

/** An action with what it is expected to make of the figure. */
export interface NextMeasurement {
  readonly action: Action;
  /** Half-width after over half-width before, 0 to 1. */
  readonly widthRatio: number;
  readonly expected: Estimate;
}

/**
 * Part of each cause's variance that stays after the action.
 *
 * - One more spread beside n: n / (n + 1) of the sampling.
 * - Sorting one photographed spread by hand and weighing the piles: mass per area and everything the picture gets wrong about
 *   such a mix is then known about as well as sums of weighed kinds repeat, some 3 % of the mass ratio; a tenth of each
 *   picture cause's variance is left in (our choice: the next spread is lit and laid otherwise).
 * - Stripping twenty insulation pieces: their copper is known to about a quarter, instead of about nine tenths of itself as
 *   the default has it: (0.25 / 0.91)^2.
 * - Weighing again on a scale with half the step, or drying a sub-sample: a quarter of the weights' variance.
 */
function remaining(action: Action, cause: Cause, spreads: number): number {
  if (action === 'spread') return cause === 'sampling' ? spreads / (spreads + 1) : 1;
  if (action === 'strip') return cause === 'locked' ? (0.25 / 0.91) ** 2 : 1;
  if (action === 'weigh') return cause === 'weights' ? 0.25 : 1;
  return cause === 'sampling' || cause === 'locked' || cause === 'weights' ? 1 : 0.1;
}

/**
 * What each action would make of the figure, the best first; actions that narrow nothing are left out.
 *
 * The expected interval is today's, shrunk about the best value; where the value will lie nobody knows before.
 *
 * @param spreads - spreads the product has; for a run's recovery, the fewest that any product has
 * @param isStripped - the locked copper is already known from a hand check
 */
export function nextMeasurements(
  { figure, lines }: Budget,
  spreads: number,
  isStripped: boolean,
): readonly NextMeasurement[] {
  const before = lines.reduce((sum, { u }) => sum + u ** 2, 0);
  if (before <= 0) return [];
  return ACTIONS.filter((action) => action !== 'strip' || !isStripped)
    .map((action) => {
      const after = lines.reduce((sum, { cause, u }) => sum + u ** 2 * remaining(action, cause, spreads), 0);
      const widthRatio = Math.sqrt(after / before);
      return { action, widthRatio, expected: shrunk(figure, widthRatio) };
    })
    .filter(({ widthRatio }) => widthRatio < 0.999)
    .sort((a, b) => a.widthRatio - b.widthRatio);
}

function shrunk(figure: Estimate, ratio: number): Estimate {
  const { value, low, high } = figure;
  return { ...figure, low: value - ratio * (value - low), high: value + ratio * (high - value) };
}

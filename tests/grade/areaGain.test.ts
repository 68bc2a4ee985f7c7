import { expect, test } from 'vitest';
import { fitErrorRates } from '@/lib/grade/errorRates';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { meanOf } from '@/lib/quantity/moments';

/** A scene of copper and insulation in which the copper is seen exp(-log) times as large as it is. */
function scene(copperShare: number, log: number): number[][] {
  const pieces = 100_000;
  const copper = copperShare * pieces;
  const seen = copper * Math.exp(-log);
  const table = Array.from({ length: 6 }, () => new Array<number>(6).fill(0));
  table[0]![0] = pieces;
  table[1]![1] = Math.min(copper, seen);
  // what is not seen is called bare surface, what is seen too much was bare surface
  table[1]![0] = Math.max(0, copper - seen);
  table[0]![1] = Math.max(0, seen - copper);
  table[4]![4] = pieces - copper;
  return table;
}

test('the factor from seen to true area is the middle of all scenes; it scatters by how much of the class was seen', () => {
  const much = [-0.1, 0.1, -0.1, 0.1, 0, 0].map((log) => scene(0.6, 0.05 + log));
  const little = [-0.4, 0.4, -0.4, 0.4, 0, 0].map((log) => scene(0.06, 0.05 + log));
  const [copper] = fitErrorRates([...much, ...little], 150, 'made for a test').areaGain!;
  // half a piece is added to counts of 24 pieces and more, which moves a log by up to half a hundredth
  expect(copper!.logMean).toBeCloseTo(0.05, 2);
  expect(copper!.logSd).toBeCloseTo(0.1 * Math.sqrt(4 / 6), 2);
  expect(copper!.logSdMinor!).toBeCloseTo(0.4 * Math.sqrt(4 / 6), 1);
});

test('where little of a class was seen its factor scatters more and has the same mean', () => {
  const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, 20_000, 3);
  const [much, little] = [
    shared.areaGainOf('model-mat').brightCopper,
    shared.minorAreaGainOf('model-mat').brightCopper,
  ];
  const relative = (draws: Float64Array) => Math.sqrt(meanOf(draws.map((one) => (one / meanOf(draws) - 1) ** 2)));
  const { logSd, logSdMinor } = measuredErrorRates['model-mat'].areaGain![0]!;
  // a log-normal deviate scatters by sqrt(exp(s^2) - 1) of its mean; 20 000 draws repeat that to 1 %
  expect(relative(much) / Math.sqrt(Math.exp(logSd ** 2) - 1)).toBeCloseTo(1, 1);
  expect(relative(little) / Math.sqrt(Math.exp(logSdMinor! ** 2) - 1)).toBeCloseTo(1, 1);
  expect(meanOf(little) / meanOf(much)).toBeCloseTo(1, 1);
});

import { expect, test } from 'vitest';
import { budgetOfRun } from '@/lib/balance/budget';
import type { GradedRun } from '@/lib/balance/gradedRun';
import { nextMeasurements } from '@/lib/balance/nextMeasurement';
import { weighingSchema } from '@/lib/balance/weighing';
import { madeMaterial, madeRates, madeReading } from '../grade/madeReading';

const weighing = (gross: string) => weighingSchema.parse({ gross });
const spreadOf = (copper: number, insulation: number) => [
  madeReading({
    brightCopper: { count: copper, areaMm2: 0.6, widthMm: 0.4 },
    insulation: { count: insulation, areaMm2: 2, widthMm: 1.2 },
  }),
];
const run: GradedRun = {
  runId: 'made',
  feed: { weighing: weighing('10.0 kg') },
  products: [
    { id: 'c', name: 'c', role: 'concentrate', weighing: weighing('2.0 kg'), spreads: [spreadOf(2000, 100)] },
    { id: 't', name: 't', role: 'tailings', weighing: weighing('8.0 kg'), spreads: [spreadOf(60, 1200)] },
  ],
};

test('a cause that is exactly known has no share, and the shares sum to one', () => {
  const budget = budgetOfRun(run, madeMaterial({ density: 0, factor: 0.1 }), madeRates(), { draws: 400, seed: 1 });
  const { lines } = budget.copperGrade.c!;
  expect(lines.reduce((sum, { varianceShare }) => sum + varianceShare, 0)).toBeCloseTo(1, 12);
  const uOf = (cause: string) => lines.find((line) => line.cause === cause)!.u;
  expect(uOf('thickness')).toBeGreaterThan(0);
  expect(uOf('sampling')).toBeGreaterThan(0);
  for (const known of ['density', 'confusion', 'locked', 'unjudged', 'weights']) expect(uOf(known)).toBeLessThan(1e-12);
});

test("the causes' variances add up to the whole where none acts on another", () => {
  const budget = budgetOfRun(run, madeMaterial({ density: 0.02, factor: 0.05 }), madeRates(), { draws: 2000, seed: 1 });
  const { lines, u } = budget.copperGrade.c!;
  const sum = Math.sqrt(lines.reduce((total, line) => total + line.u ** 2, 0));
  // a standard deviation of 2000 draws is known to 1.6 %; two of them, and a little curvature
  expect(Math.abs(sum / u - 1)).toBeLessThan(0.06);
});

test('weights matter for the recovery and not for a grade', () => {
  const budget = budgetOfRun(run, madeMaterial(), madeRates(), { draws: 400, seed: 1 });
  const weights = (lines: readonly { readonly cause: string; readonly u: number }[]) =>
    lines.find(({ cause }) => cause === 'weights')!.u;
  expect(weights(budget.copperGrade.c!.lines)).toBeLessThan(1e-12);
  expect(weights(budget.recovery!.lines)).toBeGreaterThan(1e-4);
});

test('the next best measurement goes at the largest cause, and never widens the interval', () => {
  const figure = { value: 0.5, low: 0.4, high: 0.65 };
  const lines = [
    { cause: 'sampling', u: 0.06, varianceShare: 0.9 },
    { cause: 'thickness', u: 0.02, varianceShare: 0.1 },
  ] as const;
  const [best, ...rest] = nextMeasurements({ figure, u: 0.063, lines }, 1, false);
  expect(best!.action).toBe('spread');
  // half the sampling variance stays: sqrt((0.0018 + 0.0004) / 0.004)
  expect(best!.widthRatio).toBeCloseTo(Math.sqrt(0.0022 / 0.004), 12);
  expect(best!.expected.high - 0.5).toBeCloseTo(0.15 * best!.widthRatio, 12);
  for (const { widthRatio } of rest) expect(widthRatio).toBeLessThanOrEqual(1);
  expect(nextMeasurements({ figure, u: 0.063, lines }, 1, true).some(({ action }) => action === 'strip')).toBe(false);
});

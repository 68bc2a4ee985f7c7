import { expect, test } from 'vitest';
import { overlapFactor } from '@/lib/grade/spreadDraws';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import reference from '../reference/geometry.json';

const factorOf = (name: 'brightCopper' | 'tinnedCopper' | 'insulation' | 'other') =>
  DEFAULT_MATERIAL.classes[name].shape.factor;

test('a lying round wire is pi/4 of its width thick, a ball two thirds', () => {
  const wire = reference['c.cyl_lying'];
  wire.inputs.d.forEach((widthMm, i) => {
    expect(factorOf('tinnedCopper').value * widthMm).toBeCloseTo(wire.expected[i]!, 9);
  });
  const ball = reference['c.sphere'];
  ball.inputs.d.forEach((widthMm, i) => {
    expect(factorOf('other').value * widthMm).toBeCloseTo(ball.expected[i]!, 9);
  });
});

test('bright wire lies between solid wire and seven strands, within its own uncertainty', () => {
  const { value, u } = factorOf('brightCopper');
  expect(value + Math.sqrt(3) * u).toBeCloseTo(Math.PI / 4, 12); // ends of a rectangular distribution
  expect(value - Math.sqrt(3) * u).toBeCloseTo(((7 / 9) * Math.PI) / 4, 12);
});

test('an empty sleeve with a bore of half its outside is within the uncertainty of the insulation factor', () => {
  const { inputs, expected } = reference['c.tube'];
  const { value, u } = factorOf('insulation');
  expect(Math.abs(expected / inputs.do - value)).toBeLessThan(2 * u);
});

test('chance overlap hides what the Boolean model says', () => {
  // x pieces per field area show 1 - exp(-x): the factor from what is visible gives x back
  const { inputs, expected } = reference['c.cover_limit'];
  expected.visible.forEach((visible, i) => {
    expect(visible * overlapFactor(visible)).toBeCloseTo(inputs.c[i]!, 9);
  });
});

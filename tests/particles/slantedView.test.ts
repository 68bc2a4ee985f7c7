import { expect, test } from 'vitest';
import { readSpread } from '@/lib/particles/readSpread';
import { seenTooLarge } from '@/lib/particles/slantedView';
import reference from '../reference/geometry.json';
import { Drawing, flatSurface } from './shapes';

/** So far up that nothing on the surface is nearer to the lens. */
const FAR_MM = 1e12;

test('a long lying wire shows 1 + t^2/2 of width times area', () => {
  const { inputs, expected } = reference['c.slant'];
  for (const [i, slant] of inputs.t.entries())
    expect(seenTooLarge('brightCopper', slant, 0.5, 0, FAR_MM)).toBeCloseTo(expected[i]!, 9);
});

test('a short wire shows its ends as well: the shadow of a cylinder, summed over directions', () => {
  const [d, length, slant] = [1, 2, 0.3];
  let sum = 0;
  const directions = 3600;
  for (let k = 0; k < directions; k++) {
    const angle = (2 * Math.PI * (k + 0.5)) / directions;
    const breadth = d * Math.hypot(1, slant * Math.sin(angle));
    const shadow = breadth * length + (Math.PI / 4) * d ** 2 * slant * Math.abs(Math.cos(angle));
    sum += (breadth * shadow) / (d * d * length);
  }
  // the product of the two means leaves out how they go together: below a hundredth at this slant
  expect(Math.abs(seenTooLarge('aluminium', slant, d, d / length, FAR_MM) - sum / directions)).toBeLessThan(0.01);
});

test('the same class map holds less the lower the camera stood, and as much as it shows where nobody knows', () => {
  const map = new Drawing(400, 240).disc(4, 60, 60, 12).disc(4, 340, 200, 12).bar(1, 200, 120, 160, 4, 20).map();
  const surface = flatSurface(400, 240, 4);
  const volumeAt = (heightMm?: number) =>
    readSpread(
      map,
      heightMm === undefined ? surface : { ...surface, camera: { xMm: 50, yMm: 30, heightMm, tiltDeg: 0 } },
      'model',
    ).blocks.reduce((sum, { widthAreaMm3 }) => sum + widthAreaMm3.insulation, 0);
  expect(volumeAt(1e7)).toBeCloseTo(volumeAt(), 3);
  expect(volumeAt(150)).toBeLessThan(0.97 * volumeAt());
  expect(volumeAt(300)).toBeGreaterThan(volumeAt(150));
});

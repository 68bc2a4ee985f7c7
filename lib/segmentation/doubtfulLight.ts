import { CLASS_CODE, UNJUDGED } from '../material/classes';
import type { ClassMap } from './classMap';
import type { Light } from './light';

type Gains = readonly [number, number, number];

/**
 * How far off a phone's white balance may be where nothing on the photo tells: a fifth in red and blue, either way, as between
 * daylight and a lamp half taken out. Chosen by eye; wider leaves ever more unjudged.
 */
export const OTHER_LIGHTS: readonly Gains[] = [
  [0.8, 1, 1.25],
  [1.25, 1, 0.8],
];

/** The light with other gains per channel on top. */
export function underGains({ tables, ...rest }: Light, gains: Gains): Light {
  const scaled = (c: 0 | 1 | 2) => tables[c].map((value) => value * gains[c]);
  return { ...rest, tables: [scaled(0), scaled(1), scaled(2)] };
}

/** Whether one light makes copper of what another makes insulation: then colour cannot say which, and the pixel is not judged. */
export function isTorn(one: number, other: number): boolean {
  return (
    (one === CLASS_CODE.brightCopper && other === CLASS_CODE.insulation) ||
    (one === CLASS_CODE.insulation && other === CLASS_CODE.brightCopper)
  );
}

/** The map with those pixels not judged on which the others, read in other lights, disagree between copper and insulation. */
export function leaveTornOut(map: ClassMap, others: readonly ClassMap[]): ClassMap {
  if (others.length === 0) return map;
  const labels = map.labels.map((own, i) => (others.some((other) => isTorn(own, other.labels[i]!)) ? UNJUDGED : own));
  return { ...map, labels };
}

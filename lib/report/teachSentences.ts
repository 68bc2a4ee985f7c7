import { TAUGHT_CLASSES, type TaughtClass, type TaughtSpot } from '../material/taughtSpot';
import { CLASS_NAMES } from './sentences';

/** What a spot can be, as written on screens. */
export function taughtName(name: TaughtClass): string {
  return name === 'background' ? 'Bare surface' : CLASS_NAMES[name];
}

/** `5 spots: bare surface 2; insulation 3.` */
export function taughtCounts(spots: readonly Pick<TaughtSpot, 'class'>[]): string {
  if (spots.length === 0) return 'Nothing taught yet.';
  const parts = TAUGHT_CLASSES.flatMap((name) => {
    const count = spots.filter((spot) => spot.class === name).length;
    return count === 0 ? [] : [`${taughtName(name).toLowerCase()} ${count}`];
  });
  return `${spots.length} ${spots.length === 1 ? 'spot' : 'spots'}: ${parts.join('; ')}.`;
}

import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import { boundsOf } from './fieldBox';
import type { FieldCopy } from './fieldCopy';

/**
 * The classes of a smaller copy's pixels on the photo itself: each label on all the pixels that it was read from, in the box of the
 * field on the photo. Covered shares and gaps belong to the copy and stay behind.
 *
 * @returns the map itself where the photo was read as it is
 */
export function mapOnPhoto(
  map: ClassMap,
  { reducedBy, left, top }: Omit<FieldCopy, 'raster' | 'surface'>,
  photo: Pick<Raster, 'width' | 'height'>,
  surface: Pick<Surface, 'cornersPx'>,
): ClassMap {
  if (reducedBy === 1) return map;
  const box = boundsOf(photo, surface);
  const labels = new Uint8Array(box.width * box.height);
  // where the map's first column and row begin in the box
  const column = left + reducedBy * map.columnOffset - box.columnOffset;
  const row = top + reducedBy * map.rowOffset - box.rowOffset;
  const first = Math.max(0, -column);
  const past = Math.min(reducedBy * map.width, box.width - column);
  for (let y = 0; y < map.height; y++) {
    let line = map.labels.subarray(y * map.width, (y + 1) * map.width);
    for (let side = 1; side < reducedBy; side *= 2) line = eachTwice(line);
    for (let k = 0; k < reducedBy; k++) {
      const at = row + y * reducedBy + k;
      if (at >= 0 && at < box.height) labels.set(line.subarray(first, past), at * box.width + column + first);
    }
  }
  return { ...box, labels };
}

function eachTwice(line: Uint8Array): Uint8Array {
  const twice = new Uint16Array(line.length);
  for (let x = 0; x < line.length; x++) twice[x] = line[x]! * 0x0101; // the same byte twice
  return new Uint8Array(twice.buffer);
}

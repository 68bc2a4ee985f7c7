import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, type MaterialClass, UNJUDGED } from '../material/classes';
import { CLASS_STYLES, UNJUDGED_STYLE } from './classPalette';

/** How dark the photo shows through where nothing is coloured: pieces left out are darker than the surface. */
const DIM = { surface: 0.85, pieces: 0.45 } as const;

/**
 * A picture of what the program saw: the photo in grey, pieces in their class's colour.
 *
 * @param grey - the photo's lightness, one byte a pixel, width x height
 * @param labels - class codes of the same pixels
 * @param only - colour one class alone; all other pieces stay dark grey, so that the picture can be read without colour
 * @returns sRGB, 3 bytes a pixel
 */
export function drawClasses(grey: Uint8Array, labels: Uint8Array, only?: MaterialClass | 'unjudged'): Uint8Array {
  if (grey.length !== labels.length) throw new RangeError(`grey has ${grey.length} pixels, labels ${labels.length}`);
  const colours = colourTable(only);
  const rgb = new Uint8Array(3 * labels.length);
  // one pass over the pixels, local mutation only
  for (let i = 0; i < labels.length; i++) {
    const label = labels[i]!;
    const colour = colours[label];
    const dimmed = grey[i]! * (label === BACKGROUND ? DIM.surface : DIM.pieces);
    rgb[3 * i] = colour?.[0] ?? dimmed;
    rgb[3 * i + 1] = colour?.[1] ?? dimmed;
    rgb[3 * i + 2] = colour?.[2] ?? dimmed;
  }
  return rgb;
}

function colourTable(only: MaterialClass | 'unjudged' | undefined): (readonly [number, number, number] | undefined)[] {
  const table: (readonly [number, number, number] | undefined)[] = new Array(256).fill(undefined);
  for (const name of MATERIAL_CLASSES) {
    if (only === undefined || only === name) table[CLASS_CODE[name]] = bytesOf(CLASS_STYLES[name].colour);
  }
  if (only === undefined || only === 'unjudged') table[UNJUDGED] = bytesOf(UNJUDGED_STYLE.colour);
  return table;
}

function bytesOf(hex: string): readonly [number, number, number] {
  const value = Number.parseInt(hex.slice(1), 16);
  return [value >> 16, (value >> 8) & 255, value & 255];
}

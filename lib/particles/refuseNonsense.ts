import { TrayError } from '../errors/TrayError';
import { MATERIAL_CLASSES } from '../material/classes';
import type { Surface } from '../photo/surface';
import { pixelsOf } from '../segmentation/labelRuns';
import type { Measured } from './measure';
import type { SpreadReading } from './spreadReading';

/**
 * Nothing that a granulator's screen lets through is this wide, mm: its holes are of some millimetres (common practice, no source),
 * and pieces that touch still leave gaps of their own size.
 */
const WIDEST_MM = 12;
/** A picture is refused when more than this share of the pieces' area is wider. */
const MOST_WIDE = 1 / 3;
/** And when more of it fits no class than fits one. */
const MOST_UNJUDGED = 1 / 2;

/**
 * Refuse a picture that is no spread of chopped cable: nothing lies in the field, or what was found is far too wide, or mostly fits
 * no class.
 *
 * @throws TrayError `nothing-spread`: no grade is better than one from nonsense
 */
export function refuseNonsense(measured: Measured, reading: SpreadReading, surface: Surface): void {
  const pieces = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
  if (pieces === 0) {
    throw new TrayError(
      'nothing-spread',
      'Nothing is spread in the field: no piece was found, so there is no grade.',
      'Spread a scoop in one layer and take the photo again, or check that the corners lie on the tray.',
    );
  }
  const found = measured.widthPx.length;
  const widest = WIDEST_MM * surface.pxPerMm;
  const wide = widerThan(widest, measured.widthPx);
  const unjudged = pixelsOf(measured.unjudged);
  if (wide <= MOST_WIDE * found && unjudged <= MOST_UNJUDGED * (unjudged + found)) return;
  throw new TrayError(
    'nothing-spread',
    `This does not look like a spread of chopped cable: ${
      wide > MOST_WIDE * found
        ? `much of what was found is wider than ${WIDEST_MM} mm`
        : 'most of what was found fits no class'
    }. There is no grade.`,
    'Check that it is the right picture and that the corners and the tray’s size are right. If it is, use the printed mat or better light, or teach the colours.',
  );
}

function widerThan(widest: number, widths: Float32Array): number {
  let wide = 0;
  // Hot loop.
  for (let k = 0; k < widths.length; k++) if (widths[k]! > widest) wide++;
  return wide;
}

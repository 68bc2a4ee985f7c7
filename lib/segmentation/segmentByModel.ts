import type { LightCorrection } from '../colour/correctLight';
import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { shareOfLikeliest } from './areaRule';
import type { AreaTiles, ClassMap } from './classMap';
import { coverFromShares } from './cover';
import { isTorn, OTHER_LIGHTS } from './doubtfulLight';
import { type FieldBox, fieldBoxOf } from './fieldBox';
import { gapsBetween } from './gaps';
import type { Light } from './light';
import type { ModelHead, PixelModel } from './pixelModel';
import { reflectanceTiles } from './reflectanceTiles';
import { resampleRows } from './resampleRows';
import { thinParts } from './thinParts';

/** Background and the material classes: what the model tells apart, in the order of the class codes. */
const CLASSES = MATERIAL_CLASSES.length + 1;
/** Rows that the model reads at once, and rows read beside them so that every row sees its surroundings (model pixels). */
const STRIP_ROWS = 896;
const MARGIN_ROWS = 48;
/** The model halves the picture three times, so it takes sizes that eight divides. */
const SIZE_STEP = 8;
/** Side of the squares that areas are summed over, px: far smaller than the blocks of the field they go to. */
const TILE_PX = 16;
/** How far from a gap its two shores are looked for, model pixels: what lens and network blur a gap over, on either side of it. */
const GAP_REACH_PX = 3;
/**
 * A pixel whose called class is less likely than this, the prior taken back as far as it is for the call, stays unjudged. Chosen
 * by eye: with six classes, about even between two and a rest.
 */
const LEAST_CONFIDENCE = 0.4;

/**
 * How far the model's prior is taken back before the likeliest class is called: 0 calls what is likeliest among the pixels it was
 * trained on, where rare classes hardly ever win, 1 calls all classes alike. Cross-validation over scenes found 0.6 best for
 * single pixels and 0.25 best for areas (models/CARD.md); labels lie between, since strands called more often are also called
 * wider: where between was picked on the twenty whole trays of the card. Areas hardly hang on it: they have a rule of their own (areaRule.ts).
 */
const PRIOR_TAKEN_BACK = 0.4;

/**
 * A pixel called bright copper stays unjudged where insulation is more than this part as likely: copper is believed from four to
 * one, since wrong copper costs the user money; along edges and on browns neither is sure. A round bound, one of
 * three looked at on the card's twenty whole trays.
 */
const MOST_RIVAL = 0.25;

/**
 * Read the field into classes with the pixel model, at the model's own scale, in strips so that memory stays bounded.
 *
 * The box of the field is brought to `model.scalePxPerMm` by one factor, in light-corrected linear reflectance; the model's
 * probabilities are interpolated back to the photo's pixels. Labels say what a piece is; how much there is of each class comes
 * from likeliest classes and summed probabilities together (areaRule.ts). Covered shares of thin parts come from the probability
 * of bare surface. Nothing outside the field is read.
 *
 * @param light.source - `none`: every strip is read in other lights too, and what is copper in one and insulation in another
 *   stays unjudged
 * @param head - a last layer fitted to taught spots, in place of the model's own
 */
export async function segmentByModel(
  raster: Raster,
  surface: Surface,
  light: Light & { readonly source?: LightCorrection['source'] },
  model: PixelModel,
  head?: ModelHead,
): Promise<ClassMap> {
  const box = fieldBoxOf(raster, surface);
  const favour = model.prior.map((share) => share ** -PRIOR_TAKEN_BACK);
  const { width, height, columnOffset, rowOffset } = box;
  const labels = new Uint8Array(width * height);
  const covered = new Uint8Array(width * height);
  const tally = new Tally(width, height);
  const read = reflectanceTiles(raster, surface, light, box);
  const scale = model.scalePxPerMm / surface.pxPerMm;
  const rows = Math.max(1, Math.round(height * scale));
  const columns = Math.max(1, Math.round(width * scale));
  for (let from = 0; from < rows; from += STRIP_ROWS) {
    const to = Math.min(rows, from + STRIP_ROWS);
    const first = Math.max(0, from - MARGIN_ROWS);
    const last = Math.min(rows, to + MARGIN_ROWS);
    const strip = padded(last - first, columns);
    const linear = resampleRows({ width, height, read }, { columns, rows, first, ...strip });
    const probabilities = await model.predict({ ...strip, linear }, head);
    for (const gains of light.source === 'none' ? OTHER_LIGHTS : []) {
      const tinted = linear.map((value, i) => value * gains[i % 3]!);
      doubt(probabilities, await model.predict({ ...strip, linear: tinted }, head), favour);
    }
    spread({ probabilities, favour, ...strip, first, from, to, rows, columns }, box, { labels, covered, tally });
  }
  const gaps = gapsBetween(labels, covered, width, height, Math.max(1, Math.round(GAP_REACH_PX / scale)));
  const map = { width, height, columnOffset, rowOffset, labels, gaps, areas: tally.areas() };
  return coverFromShares(map, thinParts(labels, width, height), (from, to) => {
    let sum = 0;
    for (let i = from; i < to; i++) sum += covered[i]! / 255;
    return sum;
  });
}

/** Below any confidence: what a torn pixel's probabilities, which sum to 1, are scaled to. */
const TORN = 0.1;

/** Take the confidence from pixels that another light would make copper of insulation, or the reverse. */
function doubt(own: Float32Array, other: Float32Array, favour: readonly number[]): void {
  for (let at = 0; at < own.length; at += CLASSES) {
    if (!isTorn(calledAt(own, at, favour), calledAt(other, at, favour))) continue;
    for (let c = 0; c < CLASSES; c++) own[at + c]! *= TORN;
  }
}

function calledAt(p: Float32Array, at: number, favour: readonly number[]): number {
  let best = 0;
  for (let c = 1; c < CLASSES; c++) if (p[at + c]! * favour[c]! > p[at + best]! * favour[best]!) best = c;
  return best;
}

function padded(rows: number, columns: number): { width: number; height: number } {
  const up = (n: number) => Math.ceil(n / SIZE_STEP) * SIZE_STEP;
  return { width: up(columns), height: up(rows) };
}

/** One strip of class probabilities: rows `first` on, of which `from` to `to` (not included) are to be used. */
interface Strip {
  /** height x width x CLASSES. */
  readonly probabilities: Float32Array;
  /** Factor on each class's probability before the likeliest is called. */
  readonly favour: readonly number[];
  readonly width: number;
  readonly height: number;
  readonly first: number;
  readonly from: number;
  readonly to: number;
  /** Size of the whole box at the model's scale. */
  readonly rows: number;
  readonly columns: number;
}

/** What the strips fill in: classes and covered share (0 to 255) of the box's pixels, and sums of areas. */
interface Filled {
  readonly labels: Uint8Array;
  readonly covered: Uint8Array;
  readonly tally: Tally;
}

/** Pixels by likeliest class and summed probabilities, over squares of the box. */
class Tally {
  private readonly across: number;
  private readonly down: number;
  private readonly likeliest: Float32Array;
  private readonly summed: Float32Array;
  constructor(width: number, height: number) {
    this.across = Math.ceil(width / TILE_PX);
    this.down = Math.ceil(height / TILE_PX);
    this.likeliest = new Float32Array(this.across * this.down * CLASSES);
    this.summed = new Float32Array(this.likeliest.length);
  }
  add(column: number, row: number, six: Float64Array, likeliest: number): void {
    const at = (Math.floor(row / TILE_PX) * this.across + Math.floor(column / TILE_PX)) * CLASSES;
    this.likeliest[at + likeliest]! += 1;
    for (let c = 0; c < CLASSES; c++) this.summed[at + c]! += six[c]!;
  }
  areas(): AreaTiles {
    const whole = new Float64Array(CLASSES);
    for (let i = 0; i < this.likeliest.length; i++) whole[i % CLASSES]! += this.likeliest[i]!;
    const of = shareOfLikeliest(whole);
    const px = this.likeliest.map((many, i) => many * of[i % CLASSES]! + this.summed[i]! * (1 - of[i % CLASSES]!));
    return { tilePx: TILE_PX, across: this.across, down: this.down, px };
  }
}

/** Interpolate a strip's probabilities at the photo's pixels and call the likeliest class. */
function spread(strip: Strip, box: FieldBox, { labels, covered, tally }: Filled): void {
  const six = new Float64Array(CLASSES);
  const { probabilities: p, width: stride, favour } = strip;
  const perRow = strip.rows / box.height;
  const perColumn = strip.columns / box.width;
  // Hot loop.
  for (let row = 0; row < box.height; row++) {
    const y = (row + 0.5) * perRow - 0.5;
    const nearest = Math.min(strip.rows - 1, Math.max(0, Math.round(y)));
    if (nearest < strip.from || nearest >= strip.to) continue;
    const { low: y0, high: y1, part: fy } = between(y, strip.rows);
    for (let column = 0; column < box.width; column++) {
      const i = row * box.width + column;
      if (box.inside[i] === 0) continue;
      const { low: x0, high: x1, part: fx } = between((column + 0.5) * perColumn - 0.5, strip.columns);
      const upper = (y0 - strip.first) * stride;
      const lower = (Math.min(y1, strip.first + strip.height - 1) - strip.first) * stride;
      let best = BACKGROUND;
      let most = -1;
      let sum = 0;
      let all = 0;
      let likeliest = BACKGROUND;
      for (let c = 0; c < CLASSES; c++) {
        const top = p[(upper + x0) * CLASSES + c]! * (1 - fx) + p[(upper + x1) * CLASSES + c]! * fx;
        const bottom = p[(lower + x0) * CLASSES + c]! * (1 - fx) + p[(lower + x1) * CLASSES + c]! * fx;
        const value = top * (1 - fy) + bottom * fy;
        if (c === BACKGROUND) covered[i] = Math.round(255 * Math.min(1, Math.max(0, 1 - value)));
        six[c] = value;
        if (value > six[likeliest]!) likeliest = c;
        const favoured = value * favour[c]!;
        all += favoured;
        sum += value;
        if (favoured > most) {
          most = favoured;
          best = c;
        }
      }
      const isSure = most * sum >= LEAST_CONFIDENCE * all;
      labels[i] = isSure && !isRivalled(best, six) ? best : UNJUDGED;
      // a copper that insulation rivals is no label to rely on, yet left out it would pull the areas from copper
      if (isSure) tally.add(column, row, six, likeliest);
    }
  }
}

/** Whether insulation is too likely for a call of bright copper to be believed. */
function isRivalled(called: number, six: Float64Array): boolean {
  const copper = CLASS_CODE.brightCopper;
  return called === copper && six[CLASS_CODE.insulation]! > MOST_RIVAL * six[copper]!;
}

/** The two grid points about a place and how far it is towards the upper one. */
function between(at: number, count: number): { low: number; high: number; part: number } {
  const place = Math.min(count - 1, Math.max(0, at));
  const low = Math.floor(place);
  return { low, high: Math.min(count - 1, low + 1), part: place - low };
}

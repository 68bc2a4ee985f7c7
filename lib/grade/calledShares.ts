import { MATERIAL_CLASSES, type MaterialClass } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import { type Random, seededRandom } from '../quantity/seededRandom';
import { type ClassTotals, UNSEEN_PIECE } from './classTotals';
import type { SharedErrors } from './sharedErrors';

/** With more pieces than this half a piece is under a fifth of a hundredth, and no longer drawn. */
const MANY_PIECES = 400;

/**
 * Shares of the field as called, world after world: counting and unjudged area drawn.
 *
 * A class, as functions made anew for each spread would be compiled anew as well.
 */
export class CalledShares {
  private readonly counting: Random;
  private readonly shareOfHalf: () => number;
  private readonly pieceMm2: Float64Array;
  private readonly extra: Float64Array;
  private readonly isFixed: Uint8Array;
  private readonly unjudged: UnjudgedArea | undefined;
  /** @param seen - area of each class, mm2, in the order of MATERIAL_CLASSES */
  constructor(
    reading: SpreadReading,
    private readonly seen: readonly number[],
    private readonly fieldMm2: number,
    { seed, held }: SharedErrors,
    purpose: readonly string[],
    private readonly ofSpreads: number,
  ) {
    this.counting = seededRandom(seed, 'half a piece', ...purpose);
    this.shareOfHalf = this.counting.gammas(0.5 / ofSpreads);
    const seenMm2 = seen.reduce((sum, area) => sum + area, 0);
    const unjudgedMm2 = reading.blocks.reduce((sum, block) => sum + block.unjudgedMm2, 0);
    const count = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
    // a piece of the class's own size, or, where none was seen, as chopping leaves them; no larger than pieces are here
    const meanMm2 = seenMm2 / Math.max(1, count);
    this.pieceMm2 = Float64Array.from(MATERIAL_CLASSES, (name, c) => {
      const own = reading.pieces[name].count;
      return Math.min(meanMm2, own > 0 ? seen[c]! / own : UNSEEN_PIECE[name].areaMm2);
    });
    this.extra = Float64Array.from(seen, (area) => (0.5 * unjudgedMm2 * area) / Math.max(seenMm2, 1e-9));
    this.unjudged =
      unjudgedMm2 <= 0 || held.has('unjudged')
        ? undefined
        : new UnjudgedArea(seededRandom(seed, 'unjudged', ...purpose), seen, unjudgedMm2);
    const isHeld = held.has('sampling');
    this.isFixed = Uint8Array.from(MATERIAL_CLASSES, (name) =>
      isHeld || reading.pieces[name].count > MANY_PIECES ? 1 : 0,
    );
  }
  /** Writes the next world's shares, bare surface first. */
  next(called: Float64Array): void {
    const { seen, pieceMm2, extra, isFixed, ofSpreads, fieldMm2 } = this;
    this.unjudged?.handOut(extra);
    let pieces = 0;
    for (let c = 0; c < seen.length; c++) {
      // half a piece more or less of every class over all spreads (Jeffreys): none seen is not none there; gamma of shape 1/2
      const half =
        isFixed[c] !== 0 ? 0.5 / ofSpreads : ofSpreads === 1 ? 0.5 * this.counting.normal() ** 2 : this.shareOfHalf();
      const share = (seen[c]! + half * pieceMm2[c]! + extra[c]!) / fieldMm2;
      called[c + 1] = share;
      pieces += share;
    }
    called[0] = Math.max(0, 1 - pieces);
  }
}

/** Hands the unjudged area out among classes, draw by draw: mostly like the judged area, sometimes nearly all to one class. */
class UnjudgedArea {
  private readonly weights: readonly (() => number)[];
  constructor(
    private readonly random: Random,
    seen: readonly number[],
    private readonly unjudgedMm2: number,
  ) {
    const total = seen.reduce((sum, area) => sum + area, 0);
    this.weights = seen.map((area) => random.gammas(0.1 + (2 * area) / Math.max(total, 1e-9)));
  }
  handOut(into: Float64Array): void {
    const { weights } = this;
    let all = 0;
    for (let c = 0; c < weights.length; c++) all += into[c] = weights[c]!();
    // part of what was not judged may be bare surface
    const particles = this.unjudgedMm2 * this.random.uniform();
    for (let c = 0; c < weights.length; c++) into[c] = all > 0 ? (into[c]! / all) * particles : 0;
  }
}

/** Area of each class on a spread, mm2, in the order of MATERIAL_CLASSES. */
export function seenAreas(totals: Readonly<Record<MaterialClass, ClassTotals>>): number[] {
  return MATERIAL_CLASSES.map((name) => totals[name].areaMm2);
}

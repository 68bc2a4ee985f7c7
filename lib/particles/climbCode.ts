import {
  andLanes,
  anyLane,
  aslong,
  choose,
  equal,
  equalShorts,
  float,
  isZero,
  largerShorts,
  less,
  load16,
  loadByte,
  loadShort,
  loadWide8,
  loadWord,
  minus,
  minusFloat,
  minusShorts,
  narrowShorts,
  select,
  shorts8,
  smallerFloat,
  spreadShort,
  store8,
  storeByte,
  storeFloat,
  storeShort,
  storeWord,
  timesFloat,
  timesFractions,
  toFloat,
  unequal,
  withoutLanes,
} from '../segmentation/wasmBytes';
import {
  and,
  type Code,
  get,
  increase,
  plus,
  repeat,
  set,
  some,
  times,
  type WasmFunction,
  when,
  whole,
} from '../segmentation/wasmCode';
import { across, column, PARTS, square } from './distanceCode';
import { rims } from './rimCode';

/**
 * Distances to the nearest other label and the climb to their ridges, eight pixels at a time.
 *
 * Pictures are planes of rows `stride` pixels apart, a multiple of sixteen and larger than the width, with a margin of zeros to
 * the right, above and below.
 */
export interface WidthFunctions {
  /**
   * Distances up or down to the nearest other label, one row from those of the row before it: bytes that stop at 255. `least` has
   * what is known already and takes the smaller one.
   */
  column(labels: number, before: number, known: number, into: number, least: number, sixteens: number): void;
  /** The same distances of one row squared, into `wide` rows with `REACH` pixels to either side. */
  square(row: number, into: number, sixteens: number): void;
  /** Distances of one row in 128ths of a pixel; ORs into `far` where one may be larger than `REACH` pixels. */
  across(labels: number, squares: number, into: number, eights: number, far: number): void;
  /** Of one row the neighbour that each pixel climbs to: 0 to 7 in reading order, 8 on the ridge. */
  climb(labels: number, distances: number, into: number, stride: number, eights: number, slope: number): void;
  /**
   * The distance where a climb ends, for pixels whose next pixel has it already or that lie on the ridge: along the runs of one row,
   * forth or back as `turn` is 1 or -1. `begins` has the pixels that runs are begun at, but for `shift`; `steps` the eight neighbours
   * and 0.
   */
  settle(
    ends: number,
    starts: number,
    begins: number,
    count: number,
    shift: number,
    turn: number,
    distances: number,
    climbs: number,
    ridges: number,
    steps: number,
  ): void;
  /** The same for what is left: for each labelled pixel of one row the distance where its climb ends. */
  follow(
    labels: number,
    distances: number,
    climbs: number,
    ridges: number,
    steps: number,
    base: number,
    eights: number,
  ): void;
  /** Widths of the pixels of one row's runs, one after another from the address at `place` on, and the labels of thin ones. */
  widths(
    starts: number,
    ends: number,
    count: number,
    shift: number,
    labels: number,
    ridges: number,
    thin: number,
    longest: number,
    place: number,
  ): void;
  /** Borders of one row's pixels (rimCode.ts). */
  rims(labels: number, thin: number, into: number, stride: number, sixteens: number): void;
}

/** Neighbours in reading order: rows and columns away. */
export const NEIGHBOURS = [
  [-1, -1],
  [-1, 0],
  [-1, 1],
  [0, -1],
  [0, 1],
  [1, -1],
  [1, 0],
  [1, 1],
] as const;
const ON_RIDGE = NEIGHBOURS.length;

const climb: WasmFunction = {
  name: 'climb',
  parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
  body: (locals) => {
    const [labels, distances, into, stride, eights, slope] = [0, 1, 2, 3, 4, 5] as const;
    const [own, here, rise, steepest, towards, better, least] = some(locals, 7);
    const [labelRow, distanceRow] = some(locals, 2, 'i32');
    const row = (dy: number): Code => [
      ...set(labelRow, plus(get(labels), times(get(stride), whole(dy)))),
      ...set(distanceRow, plus(get(distances), times(get(stride), whole(2 * dy)))),
    ];
    const neighbour = (k: number): Code => {
      const [dy, dx] = NEIGHBOURS[k]!;
      const straight = minusShorts(load16(plus(get(distanceRow), whole(2 * dx))), get(here));
      return [
        ...set(
          rise,
          dx !== 0 && dy !== 0 ? timesFractions(straight, shorts8(Math.round(32768 * Math.SQRT1_2))) : straight,
        ),
        ...set(
          better,
          andLanes(
            largerShorts(get(rise), get(steepest)),
            equalShorts(loadWide8(plus(get(labelRow), whole(dx))), get(own)),
          ),
        ),
        ...set(steepest, choose(get(rise), get(steepest), get(better))),
        ...set(towards, choose(shorts8(k), get(towards), get(better))),
      ];
    };
    return [
      ...set(least, spreadShort(get(slope))),
      ...repeat(locals, get(eights), [
        ...set(own, loadWide8(get(labels))),
        ...when(anyLane(get(own)), [
          ...set(here, load16(get(distances))),
          ...set(steepest, get(least)),
          ...set(towards, shorts8(ON_RIDGE)),
          ...[-1, 0, 1].flatMap((dy) => [
            ...row(dy),
            ...NEIGHBOURS.flatMap(([y], k) => (y === dy ? neighbour(k) : [])),
          ]),
          ...store8(get(into), narrowShorts(get(towards), get(towards))),
        ]),
        ...increase(labels, whole(8)),
        ...increase(distances, whole(16)),
        ...increase(into, whole(8)),
      ]),
    ];
  },
};

const settle: WasmFunction = {
  name: 'settle',
  parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
  body: (locals) => {
    const [ends, starts, begins, count, shift, turn, distances, climbs, ridges, steps] = [
      0, 1, 2, 3, 4, 5, 6, 7, 8, 9,
    ] as const;
    const [at, way, known, next] = some(locals, 4, 'i32');
    const short = (plane: number, place: Code): Code => plus(get(plane), plus(place, place));
    return repeat(locals, get(count), [
      ...set(at, plus(loadWord(get(begins)), get(shift))),
      // no branch within a run: which way a climb goes can't be foretold
      ...repeat(locals, minus(loadWord(get(ends)), loadWord(get(starts))), [
        ...set(way, loadByte(plus(get(climbs), get(at)))),
        ...set(known, loadShort(short(ridges, get(at)))),
        ...set(next, plus(get(at), loadWord(plus(get(steps), times(get(way), whole(4)))))),
        ...set(
          next,
          select(
            loadShort(short(distances, get(at))),
            loadShort(short(ridges, get(next))),
            equal(get(way), whole(ON_RIDGE)),
          ),
        ),
        ...storeShort(short(ridges, get(at)), select(get(known), get(next), get(known))),
        ...increase(at, get(turn)),
      ]),
      ...[ends, starts, begins].flatMap((list) => increase(list, times(get(turn), whole(4)))),
    ]);
  },
};

const follow: WasmFunction = {
  name: 'follow',
  parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
  body: (locals) => {
    const [labels, distances, climbs, ridges, steps, base, eights] = [0, 1, 2, 3, 4, 5, 6] as const;
    const [at, end, ridge, own] = some(locals, 4, 'i32');
    const short = (plane: number, place: number): Code => plus(get(plane), plus(get(place), get(place)));
    const stepAt = (place: number): Code =>
      loadWord(plus(get(steps), times(loadByte(plus(get(climbs), get(place))), whole(4))));
    const one: Code = when(
      and(unequal(loadByte(plus(get(labels), get(own))), whole(0)), isZero(loadShort(short(ridges, own)))),
      [
        ...set(end, get(own)),
        ...aslong(
          and(isZero(loadShort(short(ridges, end))), unequal(loadByte(plus(get(climbs), get(end))), whole(ON_RIDGE))),
          increase(end, stepAt(end)),
        ),
        ...set(ridge, loadShort(short(ridges, end))),
        ...when(isZero(get(ridge)), set(ridge, loadShort(short(distances, end)))),
        ...storeShort(short(ridges, end), get(ridge)),
        ...set(at, get(own)),
        ...aslong(unequal(get(at), get(end)), [
          ...storeShort(short(ridges, at), get(ridge)),
          ...increase(at, stepAt(at)),
        ]),
      ],
    );
    const nothing = shorts8(0);
    return repeat(locals, get(eights), [
      // few are left, and most of eight have none
      ...when(
        anyLane(
          withoutLanes(
            equalShorts(load16(short(ridges, base)), nothing),
            equalShorts(loadWide8(plus(get(labels), get(base))), nothing),
          ),
        ),
        [...set(own, get(base)), ...repeat(locals, whole(8), [...one, ...increase(own, whole(1))])],
      ),
      ...increase(base, whole(8)),
    ]);
  },
};

/** Goes along the runs of one row, `count` of them, at least one; `shift` leads from a place in the picture to one in the planes. */
function widthsWith(excessPx: number, thinPx: number): WasmFunction {
  return {
    name: 'widths',
    parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
    body: (locals) => {
      const [starts, ends, count, shift, labels, ridges, thin, longest, place] = [0, 1, 2, 3, 4, 5, 6, 7, 8] as const;
      const [at, ridge, into] = some(locals, 3, 'i32');
      return [
        ...set(into, loadWord(get(place))),
        ...repeat(locals, get(count), [
          ...set(at, plus(loadWord(get(starts)), get(shift))),
          ...repeat(locals, minus(loadWord(get(ends)), loadWord(get(starts))), [
            ...set(ridge, loadShort(plus(get(ridges), plus(get(at), get(at))))),
            ...storeByte(
              plus(get(thin), get(at)),
              times(loadByte(plus(get(labels), get(at))), less(get(ridge), whole(Math.floor(thinPx * PARTS) + 1))),
            ),
            ...storeFloat(
              get(into),
              smallerFloat(
                minusFloat(timesFloat(toFloat(get(ridge)), float(2 / PARTS)), float(excessPx)),
                toFloat(get(longest)),
              ),
            ),
            ...increase(into, whole(4)),
            ...increase(at, whole(1)),
          ]),
          ...increase(starts, whole(4)),
          ...increase(ends, whole(4)),
        ]),
        ...storeWord(get(place), get(into)),
      ];
    },
  };
}

/** What a local width is told from. */
export interface RidgeRule {
  /** Steepest climb at which a pixel lies on the ridge, pixels a pixel. */
  readonly slope: number;
  /** What twice the ridge distance overstates, pixels. */
  readonly excessPx: number;
  /** Ridge distance up to which a part counts as thin, pixels. */
  readonly thinPx: number;
}

/** The functions for one rule. */
export function widthCode({ excessPx, thinPx }: RidgeRule): WasmFunction[] {
  return [column, square, across, climb, settle, follow, widthsWith(excessPx, thinPx), rims];
}

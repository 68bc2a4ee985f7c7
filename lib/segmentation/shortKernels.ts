import {
  and,
  type Code,
  constant4,
  divided4,
  floats4,
  get,
  increase,
  larger4,
  load4,
  loadAll4,
  minusWhole4,
  pairs4,
  plus,
  plus4,
  plusWhole4,
  repeat,
  root4,
  set,
  shiftRight,
  shortened8,
  some,
  spread4,
  store4,
  store32,
  store64,
  times,
  times4,
  turned4,
  type WasmFunction,
  when,
  whole,
} from './wasmCode';

/** Bytes of four floats. */
const FOUR = 16;
/** Length of a row of 16-bit numbers: whatever its direction, no single number overflows, and no product with `LONGEST_COLUMN`. */
const LONGEST_ROW = 32767;
/** Length of a column of 16-bit weights; a product of both lengths stays below 2 ** 31 (Cauchy and Schwarz). */
export const LONGEST_COLUMN = 65535;
/** Added to a float below 2 ** 22 it leaves the nearest whole number in the lowest bits (24-bit significands, IEEE 754). */
const ROUNDER = 1.5 * 2 ** 23;
/** So small that it changes no length but keeps a row of zeros from being divided by 0. */
const TINY = 1e-30;

/** Rows of floats as rows of 16-bit numbers: see `Kernels.shorten`. */
export const shorten: WasmFunction = {
  name: 'shorten',
  parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32'],
  body: (locals) => {
    const [from, fromStep, to, toStep, scales, scaleStep, rows, k4] = [0, 1, 2, 3, 4, 5, 6, 7] as const;
    const [at, into] = some(locals, 2, 'i32') as [number, number];
    const [value, sum, factor, rounder, tiny, longest, share] = some(locals, 7) as [
      number,
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    return [
      ...set(rounder, constant4(ROUNDER)),
      ...set(tiny, constant4(TINY)),
      ...set(longest, constant4(LONGEST_ROW)),
      ...set(share, constant4(1 / LONGEST_ROW)),
      ...repeat(locals, get(rows), [
        ...set(at, get(from)),
        ...set(sum, get(tiny)),
        ...repeat(locals, get(k4), [
          ...set(value, load4(get(at))),
          ...set(sum, plus4(get(sum), times4(get(value), get(value)))),
          ...increase(at, whole(FOUR)),
        ]),
        ...set(sum, plus4(get(sum), turned4(get(sum), get(sum), 2))),
        ...set(sum, root4(plus4(get(sum), turned4(get(sum), get(sum), 1)))),
        ...store32(get(scales), times4(get(sum), get(share))),
        ...set(factor, divided4(get(longest), get(sum))),
        ...set(at, get(from)),
        ...set(into, get(to)),
        ...repeat(locals, get(k4), [
          ...set(value, minusWhole4(plus4(times4(load4(get(at)), get(factor)), get(rounder)), get(rounder))),
          ...store64(get(into), shortened8(get(value), get(value))),
          ...increase(at, whole(FOUR)),
          ...increase(into, whole(FOUR / 2)),
        ]),
        ...increase(from, get(fromStep)),
        ...increase(to, get(toStep)),
        ...increase(scales, get(scaleStep)),
      ]),
    ];
  },
};

/** Product of 16-bit matrices: see `Kernels.multiplyShort`. */
export const multiplyShort: WasmFunction = {
  name: 'multiplyShort',
  parameters: ['i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'i32', 'f32'],
  body: (locals) => {
    const [a, aStep, aScales, b, bScales, bias, c, cStep, m, n, k, floorAt] = [
      0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11,
    ] as const;
    const [floor, zero] = some(locals, 2) as [number, number];
    const panel = (columns4: 1 | 2): Code => {
      const rows = [0, 1, 2, 3].map(() => locals.i32());
      const sums = rows.map(() => some(locals, columns4));
      const weights = some(locals, columns4);
      const number = locals.f32x4();
      const [fromRow, toRow, weight, into, scaleAt] = some(locals, 5, 'i32') as [
        number,
        number,
        number,
        number,
        number,
      ];
      const step = (u: number): Code => [
        ...weights.flatMap((w, j) => set(w, load4(get(weight), FOUR * (u * columns4 + j)))),
        ...rows.flatMap((row, r) => [
          ...set(number, loadAll4(get(row), 4 * u)),
          ...sums[r]!.flatMap((sum, j) => set(sum, plusWhole4(get(sum), pairs4(get(number), get(weights[j]!))))),
        ]),
      ];
      const fourRows: Code = [
        ...rows.flatMap((row, r) => set(row, r === 0 ? get(fromRow) : plus(get(rows[r - 1]!), get(aStep)))),
        ...sums.flatMap((row) => row.flatMap((sum) => set(sum, get(zero)))),
        ...set(weight, get(b)),
        ...repeat(locals, get(k), [
          ...[0, 1].flatMap(step),
          ...rows.flatMap((row) => increase(row, whole(FOUR / 2))),
          ...increase(weight, whole(2 * FOUR * columns4)),
        ]),
        ...set(into, get(toRow)),
        ...sums.flatMap((row, r) => [
          ...set(number, loadAll4(get(scaleAt), 4 * r)),
          ...row.flatMap((sum, j) =>
            store4(
              get(into),
              larger4(
                plus4(
                  times4(times4(floats4(get(sum)), get(number)), load4(get(bScales), FOUR * j)),
                  load4(get(bias), FOUR * j),
                ),
                get(floor),
              ),
              FOUR * j,
            ),
          ),
          ...increase(into, get(cStep)),
        ]),
        ...increase(fromRow, times(get(aStep), whole(4))),
        ...increase(scaleAt, whole(FOUR)),
        ...set(toRow, get(into)),
      ];
      return [
        ...set(fromRow, get(a)),
        ...set(toRow, get(c)),
        ...set(scaleAt, get(aScales)),
        ...repeat(locals, get(m), fourRows),
        ...set(b, get(weight)),
        ...increase(bias, whole(FOUR * columns4)),
        ...increase(bScales, whole(FOUR * columns4)),
        ...increase(c, whole(FOUR * columns4)),
      ];
    };
    return [
      ...set(zero, constant4(0)),
      ...set(floor, spread4(get(floorAt))),
      ...when(shiftRight(get(n), 3), repeat(locals, shiftRight(get(n), 3), panel(2))),
      ...when(and(get(n), whole(4)), panel(1)),
    ];
  },
};

import { Matrix, solve } from 'ml-matrix';

/** How the light varies over the field: per channel a second-degree surface in the logarithm of linear light. */
export interface Falloff {
  readonly fieldWidthMm: number;
  readonly fieldHeightMm: number;
  /** Per channel the factors of 1, u, v, u^2, uv, v^2; u and v run from -1 to 1 across the field and on beyond it. */
  readonly coefficients: readonly [Surface2, Surface2, Surface2];
}

type Surface2 = readonly [number, number, number, number, number, number];

/** Light read at one bare spot. */
export interface BareSpot {
  /** Millimetres from the field's top-left corner. */
  readonly xMm: number;
  readonly yMm: number;
  /** Natural logarithm of linear light, per channel. */
  readonly log: readonly [number, number, number];
  /** Known to be bare from the start (the mat's margins), rather than only looking so. */
  readonly sure: boolean;
}

export interface FalloffFit {
  readonly falloff: Falloff;
  /** Standard deviation of the spots kept about the surface, in the logarithm. */
  readonly scatter: number;
  /** Share of all spots offered that lie on the surface. */
  readonly keptShare: number;
}

/**
 * Bare spots kept lie this close to the surface, in log light: paper grain and noise average out to a per cent over a
 * spot, a shadow or a piece shows as more. Chosen by eye, bounded by tests/colour/falloff.test.ts.
 */
const BARE_WITHIN = 0.04;
const ROUNDS = 6;
const LEAST_SPOTS = 40;

/** Light relative to 1 (at the place the fit was anchored) per channel at a place on the field. */
export function lightAt(falloff: Falloff, xMm: number, yMm: number): [number, number, number] {
  const t = terms(falloff, xMm, yMm);
  return falloff.coefficients.map((c) => Math.exp(c.reduce((s, f, i) => s + f * t[i]!, 0))) as [number, number, number];
}

/**
 * Fit the surface to bare spots and throw out what is not bare: round by round, spots off the surface leave, others that
 * lie on it join.
 *
 * @param anchorMm - where the light is called 1
 * @returns undefined with too few bare spots
 */
export function fitFalloff(
  spots: readonly BareSpot[],
  field: Pick<Falloff, 'fieldWidthMm' | 'fieldHeightMm'>,
  anchorMm: { readonly x: number; readonly y: number },
): FalloffFit | undefined {
  let kept = spots.filter((s) => s.sure);
  let surface: readonly Surface2[] | undefined;
  let misses: number[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    if (kept.length < LEAST_SPOTS) return undefined;
    surface = solveSurface(kept, field);
    const own = surface;
    misses = spots.map((s) => {
      const t = terms(field, s.xMm, s.yMm);
      return Math.max(...s.log.map((v, c) => Math.abs(v - own[c]!.reduce((sum, f, i) => sum + f * t[i]!, 0))));
    });
    // wide at first, so that a first surface bent by a shadow does not lock the good spots out
    const within = Math.max(BARE_WITHIN, 0.2 / 2 ** round);
    kept = spots.filter((s, i) => misses[i]! < within && (s.sure || round > 1));
  }
  if (!surface) return undefined;
  const inside = misses.filter((m) => m < BARE_WITHIN);
  const [r, g, b] = surface as readonly [Surface2, Surface2, Surface2]; // three channels solved for
  const falloff: Falloff = { ...sizeOf(field), coefficients: [r, g, b] };
  return {
    falloff: anchored(falloff, anchorMm.x, anchorMm.y),
    scatter: Math.sqrt(inside.reduce((s, m) => s + m * m, 0) / Math.max(1, inside.length)),
    keptShare: inside.length / spots.length,
  };
}

function anchored(falloff: Falloff, xMm: number, yMm: number): Falloff {
  const there = lightAt(falloff, xMm, yMm).map(Math.log);
  const [r, g, b] = falloff.coefficients.map(([constant, ...rest], c) => [
    constant - there[c]!,
    ...rest,
  ]) as unknown as [Surface2, Surface2, Surface2]; // same six factors, the first shifted
  return { ...falloff, coefficients: [r, g, b] };
}

function solveSurface(
  spots: readonly BareSpot[],
  field: Pick<Falloff, 'fieldWidthMm' | 'fieldHeightMm'>,
): readonly Surface2[] {
  // normal equations: six unknowns, coordinates within about -1.3 to 1.3, so they are well conditioned
  const left = Matrix.zeros(6, 6);
  const right = Matrix.zeros(6, 3);
  for (const { xMm, yMm, log } of spots) {
    const t = terms(field, xMm, yMm);
    for (let i = 0; i < 6; i++) {
      for (let j = 0; j < 6; j++) left.set(i, j, left.get(i, j) + t[i]! * t[j]!);
      for (let c = 0; c < 3; c++) right.set(i, c, right.get(i, c) + t[i]! * log[c]!);
    }
  }
  for (let i = 0; i < 6; i++) left.set(i, i, left.get(i, i) + 1e-9 * spots.length);
  const solved = solve(left, right);
  return [0, 1, 2].map((c) => solved.getColumn(c) as unknown as Surface2); // six rows
}

function terms(
  { fieldWidthMm, fieldHeightMm }: Pick<Falloff, 'fieldWidthMm' | 'fieldHeightMm'>,
  xMm: number,
  yMm: number,
): Surface2 {
  const u = (2 * xMm) / fieldWidthMm - 1;
  const v = (2 * yMm) / fieldHeightMm - 1;
  return [1, u, v, u * u, u * v, v * v];
}

function sizeOf({ fieldWidthMm, fieldHeightMm }: Pick<Falloff, 'fieldWidthMm' | 'fieldHeightMm'>) {
  return { fieldWidthMm, fieldHeightMm };
}

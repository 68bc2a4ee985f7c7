import type { Packed } from './networkWeights';

/** A picture of several channels in the network's memory, with a rim of zeros; addresses and steps in bytes. */
export interface Plane {
  /** Of the first pixel. */
  readonly at: number;
  readonly width: number;
  readonly height: number;
  readonly channels: number;
  readonly pixelStep: number;
  readonly rowStep: number;
}

/** Where everything lies while one tile is read. Names as in models/network.py. */
export interface Planes {
  readonly picture: Plane;
  readonly full: Plane;
  /** `coarse` and `fine` side by side: the two halves of `joined`. */
  readonly joined: Plane;
  readonly coarse: Plane;
  readonly fine: Plane;
  readonly f0: Plane;
  readonly features: Plane;
  readonly scores: Plane;
  readonly x1: Plane;
  readonly h1: Plane;
  readonly y1: Plane;
  readonly u0: Plane;
  readonly s2: Plane;
  readonly x2: Plane;
  readonly y2: Plane;
  readonly u1: Plane;
  readonly x3: Plane;
  readonly h3: Plane;
  /** On `h3`, as wide as the planes of a quarter's scale. */
  readonly wide3: Plane;
  /** Planes that own their memory; the others lie in one of them. */
  readonly all: readonly Plane[];
  /** Tiles of 4 x 4 pixels worked on at once, and where their transforms and products lie. */
  readonly tilesAtOnce: number;
  readonly spread: number;
  /** The same in 16 bits, and the rows' scales. */
  readonly short: number;
  readonly scales: number;
  readonly products: number;
  /** All memory needed. */
  readonly bytes: number;
}

/** Tiles worked on at once: their transforms and products, some 0.6 MB, stay in a processor's second cache. Measured. */
const TILES_AT_ONCE = 24;

/** Lay out the memory for one tile, behind the weights. Planes whose content is used up are written again by later layers. */
export function layoutOf(width: number, height: number, { bytes: used, layers }: Packed): Planes {
  const channelsOf = (name: string) => layers.get(name)?.outputs ?? 0;
  let bytes = used;
  const take = (size: number) => {
    const at = bytes;
    bytes += 16 * Math.ceil(size / 16);
    return at;
  };
  const all: Plane[] = [];
  const plane = (halvings: number, channels: number): Plane => {
    const [w, h] = [width >> halvings, height >> halvings];
    const pixelStep = 4 * channels;
    const rowStep = (4 * Math.ceil(w / 4) + 2) * pixelStep;
    const at = take((4 * Math.ceil(h / 4) + 2) * rowStep) + rowStep + pixelStep;
    const made = { at, width: w, height: h, channels, pixelStep, rowStep };
    all.push(made);
    return made;
  };
  const [a, b, c, d] = ['e0a', 'd1', 'd2', 'd3'].map(channelsOf) as [number, number, number, number];
  const feats = channelsOf('features');
  const picture = plane(0, 4);
  // one layout for both of its uses, so that its rim stays zero
  const full = plane(0, Math.max(a, channelsOf('f0a')));
  const joined = plane(0, Math.max(2 * a, feats));
  const [x1, h1, y1] = [plane(1, Math.max(a, b)), plane(1, b), plane(1, b)];
  const [s2, x2, y2] = [plane(2, c), plane(2, Math.max(b, c)), plane(2, c)];
  const [x3, h3] = [plane(3, d), plane(3, Math.max(c, d))];
  const within = (owner: Plane, channels: number): Plane => ({ ...owner, channels });
  const widest = Math.max(...Array.from(layers.values(), ({ inputs, outputs }) => Math.max(inputs, outputs)));
  const scratch = Math.max(36 * 4 * TILES_AT_ONCE * widest, (width / 2 + 4) * 4 * 4 * Math.max(a, b, c));
  return {
    picture,
    full: within(full, a),
    joined: within(joined, 2 * a),
    coarse: within(joined, a),
    fine: { ...within(joined, a), at: joined.at + 4 * a },
    f0: within(full, channelsOf('f0a')),
    features: within(joined, feats),
    scores: within(full, channelsOf('classes')),
    x1: within(x1, b),
    h1,
    y1,
    u0: within(x1, channelsOf('u0')),
    s2,
    x2: within(x2, c),
    y2,
    u1: within(x2, channelsOf('u1')),
    x3,
    h3: within(h3, d),
    wide3: within(h3, c),
    all,
    tilesAtOnce: TILES_AT_ONCE,
    spread: take(scratch),
    short: take(scratch / 2),
    scales: take(4 * Math.max(36 * TILES_AT_ONCE, width + 4)),
    products: take(scratch),
    bytes,
  };
}

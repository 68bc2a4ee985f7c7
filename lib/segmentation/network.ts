import { layoutOf, type Plane, type Planes } from './networkMemory';
import { type LayerWeights, type Packed, type PackedLayer, packLayers } from './networkWeights';
import { type Kernels, kernelModule } from './simdKernels';

/** What the network makes of one tile; valid until the next tile is read. */
export interface NetworkAnswer {
  /** Inputs of the last layer. */
  readonly features: PlaneView;
  /** Class scores before they are turned into shares. */
  readonly scores: PlaneView;
}

/** Numbers of a plane: pixel (row, column) has its channels from `at + row * rowStep + column * pixelStep` on. */
export interface PlaneView {
  readonly values: Float32Array;
  readonly at: number;
  readonly rowStep: number;
  readonly pixelStep: number;
  readonly channels: number;
}

/** Runs the pixel network: an encoder-decoder that halves the picture three times. */
export interface PixelNetwork {
  /**
   * Run it on one tile.
   *
   * @param width - and height: multiples of eight
   * @param fill - writes the tile: three channels from `at + row * rowStep + column * pixelStep` on
   */
  read(width: number, height: number, fill: (picture: PlaneView) => void): NetworkAnswer | Promise<NetworkAnswer>;
}

/** What stands for "no lower limit" after a layer without a ramp. */
const NO_FLOOR = Number.NEGATIVE_INFINITY;
/** Bytes of a page of WebAssembly memory. */
const PAGE = 65536;

/**
 * Make the network ready to run on WebAssembly with SIMD. Its layers, by name, are those of models/network.py.
 *
 * @returns undefined where this machine's WebAssembly has no SIMD
 */
export function networkOf(layers: ReadonlyMap<string, LayerWeights>): PixelNetwork | undefined {
  const code = kernelModule();
  if (!WebAssembly.validate(code)) return undefined;
  const packed = packLayers(layers);
  const memory = new WebAssembly.Memory({ initial: Math.ceil(packed.bytes / PAGE) });
  new Uint8Array(memory.buffer).set(packed.values);
  const instance = new WebAssembly.Instance(new WebAssembly.Module(code), { host: { memory } });
  // the module above exports exactly these functions
  const kernels = instance.exports as unknown as Kernels;
  return {
    read(width, height, fill) {
      const planes = layoutOf(width, height, packed);
      const missing = planes.bytes - memory.buffer.byteLength;
      if (missing > 0) memory.grow(Math.ceil(missing / PAGE));
      const floats = new Float32Array(memory.buffer);
      for (const plane of planes.all) clearRim(floats, plane);
      fill(viewOf(floats, planes.picture));
      forward(new Runner(kernels, floats, planes, packed), planes);
      return { features: viewOf(floats, planes.features), scores: viewOf(floats, planes.scores) };
    },
  };
}

/** The layers in order; a plane that is no longer needed takes what comes next (networkMemory.ts). */
function forward(run: Runner, p: Planes): void {
  run.convolve('e0a', p.picture, p.full);
  run.convolve('e0b', p.full, p.fine);
  run.halve('d1', p.fine, p.x1);
  run.convolve('e1a', p.x1, p.h1);
  run.convolveOnto('e1b', p.h1, p.x1);
  run.halve('d2', p.x1, p.s2);
  run.convolve('e2a', p.s2, p.x2);
  run.halve('d3', p.x2, p.x3);
  run.convolve('e3a', p.x3, p.h3);
  run.convolveOnto('e3b', p.h3, p.x3);
  run.mix('u2', p.x3, p.wide3);
  run.mix('j2', p.x2, p.y2);
  run.widenOnto(p.wide3, p.y2);
  run.convolve('f2', p.y2, p.s2);
  run.mix('u1', p.s2, p.u1);
  run.mix('j1', p.x1, p.y1);
  run.widenOnto(p.u1, p.y1);
  run.convolve('f1a', p.y1, p.h1);
  run.convolveOnto('f1b', p.h1, p.y1);
  run.mix('u0', p.y1, p.u0);
  run.widen(p.u0, p.coarse);
  run.convolve('f0a', p.joined, p.f0);
  run.convolve('features', p.f0, p.features);
  run.mix('classes', p.features, p.scores);
}

/** Runs single layers from plane to plane. */
class Runner {
  constructor(
    private readonly kernels: Kernels,
    private readonly floats: Float32Array,
    private readonly planes: Planes,
    private readonly packed: Packed,
  ) {}

  /** 3 x 3, zeros beyond the rim, ramp. */
  convolve(name: string, from: Plane, to: Plane): void {
    this.byTiles(name, from, to, this.kernels.fromTiles);
  }

  /** 3 x 3 added to what stands in `to`, then the ramp. */
  convolveOnto(name: string, from: Plane, to: Plane): void {
    this.byTiles(name, from, to, this.kernels.fromTilesOnto);
  }

  private byTiles(name: string, from: Plane, to: Plane, finish: Kernels['fromTiles']): void {
    const layer = this.layer(name);
    const { outputs } = layer;
    const { tilesAtOnce, products } = this.planes;
    const across = Math.ceil(to.width / 4);
    const productStep = 4 * tilesAtOnce * outputs;
    for (let row = 0; row < to.height; row += 4) {
      for (let first = 0; first < across; first += tilesAtOnce) {
        const tiles = Math.min(tilesAtOnce, across - first);
        const corner = from.at + (row - 1) * from.rowStep + (4 * first - 1) * from.pixelStep;
        if (layer.scales === undefined) this.multiplyTiles(layer, corner, from, tiles);
        else this.multiplyShortTiles(layer, layer.scales, corner, from, tiles);
        const into = to.at + row * to.rowStep + 4 * first * to.pixelStep;
        finish(products, productStep, into, to.pixelStep, to.rowStep, tiles, outputs / 4, layer.bias, 0);
      }
    }
    this.tidy(to);
  }

  private multiplyTiles({ inputs, outputs, weights }: PackedLayer, corner: number, from: Plane, tiles: number): void {
    const { tilesAtOnce, spread, products } = this.planes;
    const spreadStep = 4 * tilesAtOnce * inputs;
    this.kernels.toTiles(corner, from.pixelStep, from.rowStep, spread, spreadStep, tiles, inputs / 4);
    for (let plane = 0; plane < 36; plane++)
      this.kernels.multiply(
        spread + plane * spreadStep,
        4 * inputs,
        weights + 4 * plane * inputs * outputs,
        this.packed.zeros,
        products + 4 * plane * tilesAtOnce * outputs,
        4 * outputs,
        Math.ceil(tiles / 4),
        outputs,
        inputs / 4,
        NO_FLOOR,
      );
  }

  private multiplyShortTiles(
    { inputs, outputs, weights }: PackedLayer,
    scales: number,
    corner: number,
    from: Plane,
    tiles: number,
  ): void {
    const { tilesAtOnce, spread, short, scales: rowScales, products } = this.planes;
    // one tile at a time, so that its 36 rows are still in the first cache when they are shortened
    for (let tile = 0; tile < tiles; tile++) {
      const at = corner + 4 * tile * from.pixelStep;
      this.kernels.toTiles(at, from.pixelStep, from.rowStep, spread, 4 * inputs, 1, inputs / 4);
      const [to, scale] = [short + 2 * tile * inputs, rowScales + 4 * tile];
      this.kernels.shorten(spread, 4 * inputs, to, 2 * tilesAtOnce * inputs, scale, 4 * tilesAtOnce, 36, inputs / 4);
    }
    for (let plane = 0; plane < 36; plane++)
      this.kernels.multiplyShort(
        short + 2 * plane * tilesAtOnce * inputs,
        2 * inputs,
        rowScales + 4 * plane * tilesAtOnce,
        weights + 2 * plane * inputs * outputs,
        scales + 4 * plane * outputs,
        this.packed.zeros,
        products + 4 * plane * tilesAtOnce * outputs,
        4 * outputs,
        Math.ceil(tiles / 4),
        outputs,
        inputs / 4,
        NO_FLOOR,
      );
  }

  /** 2 x 2 with a stride of two, ramp. */
  halve(name: string, from: Plane, to: Plane): void {
    const layer = this.layer(name);
    const { spread } = this.planes;
    for (let row = 0; row < to.height; row++) {
      const pair = from.at + 2 * row * from.rowStep;
      this.kernels.squares(pair, from.pixelStep, from.rowStep, spread, to.width, layer.inputs / 16);
      this.multiplyRow(layer, spread, 4 * layer.inputs, to, row, 0);
    }
    this.tidy(to);
  }

  /** 1 x 1, no ramp. */
  mix(name: string, from: Plane, to: Plane): void {
    const layer = this.layer(name);
    for (let row = 0; row < to.height; row++)
      this.multiplyRow(layer, from.at + row * from.rowStep, from.pixelStep, to, row, NO_FLOOR);
    this.tidy(to);
  }

  /** One row of results from as many rows of inputs. */
  private multiplyRow(layer: PackedLayer, from: number, step: number, to: Plane, row: number, floor: number): void {
    const { inputs, outputs, weights, bias, scales } = layer;
    const { short, scales: rowScales } = this.planes;
    const into = to.at + row * to.rowStep;
    const fours = Math.ceil(to.width / 4);
    if (scales === undefined)
      this.kernels.multiply(from, step, weights, bias, into, to.pixelStep, fours, outputs, inputs / 4, floor);
    else {
      this.kernels.shorten(from, step, short, 2 * inputs, rowScales, 4, to.width, inputs / 4);
      this.kernels.multiplyShort(
        short,
        2 * inputs,
        rowScales,
        weights,
        scales,
        bias,
        into,
        to.pixelStep,
        fours,
        outputs,
        inputs / 4,
        floor,
      );
    }
  }

  /** Each pixel four times. */
  widen(from: Plane, to: Plane): void {
    this.widened(from, to, this.kernels.widen);
  }

  /** Each pixel four times, added to what stands in `to`, then the ramp. */
  widenOnto(from: Plane, to: Plane): void {
    this.widened(from, to, this.kernels.widenOnto);
  }

  private widened(from: Plane, to: Plane, kernel: Kernels['widen']): void {
    for (let row = 0; row < to.height; row++)
      kernel(
        from.at + (row >> 1) * from.rowStep,
        from.pixelStep,
        to.at + row * to.rowStep,
        to.pixelStep,
        from.width,
        from.channels / 4,
      );
  }

  private layer(name: string): PackedLayer {
    const layer = this.packed.layers.get(name);
    if (layer === undefined) throw new RangeError(`the network has no layer ${name}`);
    return layer;
  }

  /** Layers write in fours: what went beyond the plane becomes zero again. */
  private tidy(plane: Plane): void {
    if (plane.width % 4 !== 0 || plane.height % 4 !== 0) clearRim(this.floats, plane);
  }
}

/** Zeros around a plane, as 3 x 3 layers read them. */
function clearRim(floats: Float32Array, { at, rowStep, pixelStep, width, height }: Plane): void {
  const start = at / 4;
  const [row, pixel] = [rowStep / 4, pixelStep / 4];
  const end = 4 * Math.ceil(width / 4) + 1;
  for (let y = -1; y <= 4 * Math.ceil(height / 4); y++) {
    const line = start + y * row;
    if (y < 0 || y >= height) floats.fill(0, line - pixel, line + end * pixel);
    else {
      floats.fill(0, line - pixel, line);
      floats.fill(0, line + width * pixel, line + end * pixel);
    }
  }
}

function viewOf(values: Float32Array, { at, rowStep, pixelStep, channels }: Plane): PlaneView {
  return { values, at: at / 4, rowStep: rowStep / 4, pixelStep: pixelStep / 4, channels };
}

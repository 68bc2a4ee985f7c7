import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { fieldGrid } from '@/lib/segmentation/fieldCopy';
import type { PixelModel } from '@/lib/segmentation/pixelModel';
import { resampleRows } from '@/lib/segmentation/resampleRows';
import { segment } from '@/lib/segmentation/segment';
import { segmentByModel } from '@/lib/segmentation/segmentByModel';
import { flatSurface } from '../particles/shapes';
import { BLUE_PLASTIC, COPPER, PAPER, PLAIN_LIGHT, photo } from './trays';

/** A stand-in that knows three colours: what is under test is the way there and back, not a network. */
function colourModel(scalePxPerMm: number, sizes: number[][] = []): PixelModel {
  const predict: PixelModel['predict'] = async ({ width, height, linear }) => {
    sizes.push([width, height]);
    const out = new Float32Array(width * height * 6);
    for (let i = 0; i < width * height; i++) {
      const red = linear[3 * i]!;
      const blue = linear[3 * i + 2]!;
      out[6 * i + (red > 0.6 ? 0 : red > blue ? 1 : 4)] = 1;
    }
    return out;
  };
  return { scalePxPerMm, prior: new Array(6).fill(1 / 6), predict } as unknown as PixelModel;
}

const bars = photo(330, 900, (x, y) =>
  x > 60 && x < 140 ? COPPER : y > 420 && y < 700 && x > 200 ? BLUE_PLASTIC : PAPER,
);

test.each([4, 8, 11])(
  'classes come back to the photo where they were, with the model at %d pixels a millimetre',
  async (scale) => {
    const sizes: number[][] = [];
    const map = await segmentByModel(bars, flatSurface(330, 900, 8), PLAIN_LIGHT, colourModel(scale, sizes));
    for (const size of sizes) for (const side of size) expect(side % 8).toBe(0);
    const at = (x: number, y: number) => map.labels[y * 330 + x];
    for (let y = 5; y < 900; y += 10) {
      expect(at(100, y)).toBe(1);
      expect(at(30, y)).toBe(0);
      expect(at(260, y)).toBe(y > 424 && y < 697 ? 4 : y < 416 || y > 704 ? 0 : at(260, y));
    }
    const copper = map.labels.filter((label) => label === 1).length / 900;
    expect(Math.abs(copper - 79)).toBeLessThan(2.1); // the line moves by less than a model pixel
  },
);

test('classes told on a coarser grid lie where that grid says', async () => {
  const surface = flatSurface(330, 900, 16);
  const grid = fieldGrid(bars, surface);
  expect([grid.reducedBy, grid.width, grid.height]).toEqual([2, 165, 450]);
  const map = await segmentByModel(bars, surface, PLAIN_LIGHT, colourModel(8), undefined, grid);
  expect([map.width, map.height]).toEqual([165, 450]);
  const at = (x: number, y: number) => map.labels[y * 165 + x];
  for (let y = 5; y < 450; y += 10) {
    expect(at(50, y)).toBe(1);
    expect(at(15, y)).toBe(0);
    if (y > 214 && y < 346) expect(at(130, y)).toBe(4);
  }
  const copper = map.labels.filter((label) => label === 1).length / 450;
  expect(Math.abs(copper - 39.5)).toBeLessThan(1.1); // the line moves by less than a model pixel
  const areas = map.areas!.px.reduce((sum, px) => sum + px, 0);
  expect(areas).toBeCloseTo(165 * 450, 0);
});

test('a pixel between three classes stays unjudged', async () => {
  const unsure: PixelModel = {
    ...colourModel(8),
    prior: new Array(6).fill(1 / 6),
    predict: async ({ width, height }) =>
      Float32Array.from({ length: width * height * 6 }, (_, i) => (i % 6 < 3 ? 1 / 3 : 0)),
  };
  const map = await segmentByModel(bars, flatSurface(330, 900, 8), PLAIN_LIGHT, unsure);
  expect(new Set(map.labels)).toEqual(new Set([255]));
});

test('with a model the model reads, without one the thresholds do', async () => {
  const surface = flatSurface(330, 900, 8);
  const byModel = await segment(bars, surface, PLAIN_LIGHT, DEFAULT_MATERIAL, colourModel(8));
  const byColour = await segment(bars, surface, PLAIN_LIGHT, DEFAULT_MATERIAL);
  expect(byModel.cover).toBeDefined();
  expect(byColour.cover).toBeDefined();
  expect(byModel.labels[450 * 330 + 100]).toBe(1);
  expect(byColour.labels[450 * 330 + 100]).toBe(1);
});

test('a picture brought to another size keeps its light', () => {
  const pixels = Float32Array.from({ length: 37 * 23 * 3 }, (_, i) => ((i * 7919) % 101) / 100);
  const readRow = (y: number, line: Float32Array) => line.set(pixels.subarray(111 * y, 111 * (y + 1)));
  const mean = (values: Float32Array) => values.reduce((sum, v) => sum + v, 0) / values.length;
  for (const [columns, rows] of [
    [37, 23],
    [18, 12],
    [61, 40],
  ] as const) {
    const out = resampleRows(
      { width: 37, height: 23, readRow },
      { columns, rows, first: 0, width: columns, height: rows },
    );
    if (columns === 37) for (const [i, v] of pixels.entries()) expect(out[i]).toBeCloseTo(v, 5);
    expect(Math.abs(mean(out) - mean(pixels))).toBeLessThan(0.01); // rim pixels weigh a little more or less
  }
});

test('a strip read alone is that part of the whole', () => {
  const readRow = (y: number, line: Float32Array) => {
    for (let i = 0; i < line.length; i++) line[i] = ((40 * y + Math.floor(i / 3)) % 97) / 97;
  };
  const source = { width: 40, height: 60, readRow };
  const whole = resampleRows(source, { columns: 24, rows: 36, first: 0, width: 24, height: 36 });
  const strip = resampleRows(source, { columns: 24, rows: 36, first: 10, width: 24, height: 8 });
  expect([...strip]).toEqual([...whole.subarray(10 * 24 * 3, 18 * 24 * 3)]);
});

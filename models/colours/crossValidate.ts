/**
 * Reads close-ups with known classes by thresholds and prints how their pixels were called, one JSON line each, as `npm run
 * fit:error-rates` takes them.
 *
 *   npx tsx models/colours/crossValidate.ts FOLDER FOLD FOLDS
 *
 * Reads the scenes whose number leaves FOLD when divided by FOLDS; the colours must have been fitted to the others (fitColours.ts on a
 * folder of those). Mats are read in their known light, trays as the app reads a plain tray.
 */
import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';
import { correctLight } from '../../lib/colour/correctLight';
import { ERROR_CLASSES } from '../../lib/grade/errorRates';
import { DEFAULT_MATERIAL } from '../../lib/material/defaultMaterial';
import type { Raster } from '../../lib/photo/raster';
import { LINEAR_OF_CODE } from '../../lib/photo/srgbCurve';
import { surfaceFromCorners } from '../../lib/photo/tray';
import { segment } from '../../lib/segmentation/segment';

const [folder, fold, folds] = process.argv.slice(2);
if (folder === undefined) throw new Error('name the folder of labelled close-ups, the fold and the number of folds');
const names = readdirSync(folder)
  .filter((name) => name.endsWith('.json'))
  .sort();
for (const [k, name] of names.entries())
  if (k % Number(folds) === Number(fold))
    console.log(JSON.stringify(await read(path.join(folder, name.slice(0, -'.json'.length)))));

async function read(stem: string) {
  const truth = JSON.parse(readFileSync(`${stem}.json`, 'utf8')) as {
    white_linear: [number, number, number];
    px_per_mm: number;
    surface: string;
  };
  const { data, info } = await sharp(`${stem}.webp`).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  const mask = await sharp(`${stem}.mask.png`).extractChannel(0).raw().toBuffer();
  const { width, height } = info;
  const raster: Raster = { width, height, channels: 3, colourSpace: 'srgb', data: new Uint8Array(data) };
  const corners = [
    { x: 0, y: 0 },
    { x: width, y: 0 },
    { x: width, y: height },
    { x: 0, y: height },
  ];
  const flat = surfaceFromCorners(corners, width / truth.px_per_mm, height / truth.px_per_mm, raster);
  const isMat = truth.surface === 'mat';
  const surface = { ...flat, kind: isMat ? ('mat' as const) : ('tray' as const) };
  const table = (c: 0 | 1 | 2) => LINEAR_OF_CODE.map((linear) => linear / truth.white_linear[c]);
  const known = { source: 'patches' as const, tables: [table(0), table(1), table(2)] as const };
  const { labels } = await segment(raster, surface, isMat ? known : correctLight(raster, surface), DEFAULT_MATERIAL);
  const called = Array.from({ length: ERROR_CLASSES }, () => new Array<number>(ERROR_CLASSES).fill(0));
  for (let i = 0; i < labels.length; i++) if (labels[i]! < ERROR_CLASSES) called[mask[i]!]![labels[i]!]! += 1;
  return { picture: path.basename(stem), method: 'threshold', surface: truth.surface, table: called };
}

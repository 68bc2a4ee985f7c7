import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';
import type { Raster } from '../lib/photo/raster';
import { LINEAR_OF_CODE } from '../lib/photo/srgbCurve';
import { surfaceFromCorners } from '../lib/photo/tray';

/** Path and name, without an ending, of each labelled close-up of a folder. */
export function closeUpsOf(folder: string): string[] {
	return readdirSync(folder)
		.filter((name) => name.endsWith('.json'))
		.sort()
		.map((name) => path.join(folder, name.slice(0, -'.json'.length)));
}

/**
 * A labelled close-up: NAME.webp (the picture), NAME.mask.png (class codes) and NAME.json with `white_linear`, what a perfect white
 * reads in that light, `px_per_mm` and `surface`. The surface fills the picture; the light is the known white's.
 */
export async function readCloseUp(stem: string) {
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
	const kind: 'mat' | 'tray' = truth.surface === 'mat' ? 'mat' : 'tray';
	const table = (c: 0 | 1 | 2) => LINEAR_OF_CODE.map((linear) => linear / truth.white_linear[c]);
	const light = { source: 'patches' as const, tables: [table(0), table(1), table(2)] as const };
	return { raster, mask, surface: { ...flat, kind }, light, onWhat: truth.surface };
}

import { expect, test } from 'vitest';
import { readPhoto } from '@/lib/grade/readPhoto';
import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { cornersOf } from '@/lib/photo/matGeometry';
import type { Raster } from '@/lib/photo/raster';
import { segment } from '@/lib/segmentation/segment';
import { flatSurface } from '../particles/shapes';
import { COPPER, PLAIN_LIGHT, photo, RED_PLASTIC, type Rgb } from '../segmentation/trays';

const GREY: Rgb = [0.2, 0.2, 0.2];

/** Read a picture as a plain tray of eight pixels a millimetre, whole or without its margin. */
function read(raster: Raster, margin = 0) {
	const [width, height] = [raster.width - 2 * margin, raster.height - 2 * margin];
	const corners = cornersOf({ x: margin, y: margin, width, height });
	const fieldMm = { widthMm: width / 8, heightMm: height / 8 };
	return readPhoto(raster, { surface: 'tray', corners, fieldMm, method: 'threshold' }, DEFAULT_MATERIAL);
}

test('a spread of wires and granules is read', async () => {
	const spread = photo(480, 320, (x, y) =>
		x % 40 < 6 && y % 60 < 40 ? COPPER : Math.hypot((x % 40) - 24, (y % 60) - 30) < 9 ? RED_PLASTIC : GREY,
	);
	const { reading } = await read(spread);
	expect(reading.pieces.brightCopper.count).toBeGreaterThan(20);
});

test('a photo reads the same whatever was read before it', async () => {
	const fine = photo(960, 640, (x, y) => (x % 40 < 6 && y % 60 < 40 ? COPPER : GREY));
	const other = photo(480, 320, (x, y) => (Math.hypot((x % 40) - 24, (y % 60) - 30) < 9 ? RED_PLASTIC : GREY));
	const once = await read(fine);
	const labels = Buffer.from(once.classMap.labels);
	await read(other, 20);
	const again = await read(fine);
	expect(again.reading).toEqual(once.reading);
	for (const { classMap } of [once, again]) expect(labels.equals(classMap.labels)).toBe(true);
});

test("a tray's walls, which shine into its corners and along its sides, are no metal", async () => {
	const steel: Rgb = [0.62, 0.62, 0.62];
	const areas = async (isWall: (x: number, y: number) => boolean) => {
		const tray = photo(520, 360, (x, y) =>
			isWall(x, y) ? steel : Math.hypot((x % 40) - 24, (y % 60) - 30) < 9 ? RED_PLASTIC : GREY,
		);
		const { reading } = await read(tray, 20);
		return MATERIAL_CLASSES.map((name) => reading.blocks.reduce((sum, { areaMm2 }) => sum + areaMm2[name], 0));
	};
	const without = await areas(() => false);
	// rounded by 20 px, and a shine of 5 px along the top
	const walls = await areas(
		(x, y) => y < 25 || Math.hypot(Math.max(40 - x, 0, x - 480), Math.max(40 - y, 0, y - 320)) > 20,
	);
	for (const [i, area] of walls.entries()) expect(area).toBeCloseTo(without[i]!, 0);
});

test('a picture of something else gets a plain refusal and no grade', async () => {
	const box = photo(480, 320, (x, y) => (Math.hypot(x - 200, y - 160) < 100 ? RED_PLASTIC : GREY));
	await expect(read(box)).rejects.toMatchObject({
		code: 'nothing-spread',
		message: expect.stringMatching(
			/does not look like a spread of chopped cable: .* wider than 12 mm\. There is no grade/,
		),
	});
});

test('an empty tray gets a refusal of its own', async () => {
	await expect(read(photo(480, 320, () => GREY))).rejects.toMatchObject({
		message: expect.stringMatching(/no piece was found/),
	});
});

test('where nothing tells the light, copper that could be brown plastic stays unjudged rather than wrong', async () => {
	const surface = flatSurface(240, 160, 8);
	const between: Rgb = [0.34, 0.17, 0.09];
	const raster = photo(240, 160, (x, y) => (Math.hypot(x - 120, y - 80) < 30 ? between : GREY));
	const share = async (source: 'none' | 'patches', code: number) => {
		const { labels } = await segment(raster, surface, { ...PLAIN_LIGHT, source }, DEFAULT_MATERIAL);
		return labels.filter((label) => label === code).length;
	};
	expect(await share('patches', 255)).toBe(0);
	expect(await share('none', 255)).toBeGreaterThan(2000); // most of the piece's 2800 pixels
});

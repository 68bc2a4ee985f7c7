import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { expect, test } from 'vitest';
import { applyHomography, homographyOf } from '@/lib/photo/homography';
import { cornersOf } from '@/lib/photo/matGeometry';
import { proposeTrayCorners } from '@/lib/photo/proposeTrayCorners';
import type { PointPx, Raster } from '@/lib/photo/raster';
import { drawMat } from './drawMat';

/** A drawn tray: a floor of 200 x 140 mm, a wall 10 mm wide around it, a rim 4 mm wide around that, on a table. */
const FLOOR = { x: 0, y: 0, width: 200, height: 140 };
const WALL_MM = 10;
const RIM_MM = 4;

interface TrayShot {
	readonly corners: readonly [PointPx, PointPx, PointPx, PointPx];
	/** sRGB codes of table, rim, wall and floor. */
	readonly codes: readonly [number, number, number, number];
	/** Share of the floor's middle that pieces cover. */
	readonly cover?: number;
}

const WIDTH = 600;
const HEIGHT = 450;

/** A place on the floor as one number, in steps of 3 mm. */
const spot = (x: number, y: number) => 1000 * Math.floor(x / 3) + Math.floor(y / 3);

function drawTray({ corners, codes, cover = 0.3 }: TrayShot): Raster {
	const toMm = homographyOf(corners, cornersOf(FLOOR));
	const random = xoroshiro128plus(11);
	const uniform = () => (random.next() >>> 0) / 2 ** 32;
	// pieces of 3 mm, dark and light ones, thrown on all of the floor but a margin of 8 mm
	const pieces = new Map<number, number>();
	for (let x = 8; x < FLOOR.width - 8; x += 3) {
		for (let y = 8; y < FLOOR.height - 8; y += 3) {
			if (uniform() < cover) pieces.set(spot(x, y), uniform() < 0.5 ? 30 : 210);
		}
	}
	const data = new Uint8Array(3 * WIDTH * HEIGHT);
	for (let row = 0; row < HEIGHT; row++) {
		for (let column = 0; column < WIDTH; column++) {
			const { x, y } = applyHomography(toMm, column + 0.5, row + 0.5);
			const out = Math.max(-x, x - FLOOR.width, -y, y - FLOOR.height);
			const [table, rim, wall, floor] = codes;
			const bare = out > WALL_MM + RIM_MM ? table : out > WALL_MM ? rim : out > 0 ? wall : floor;
			const piece = out > 0 ? undefined : pieces.get(spot(x, y));
			const code = Math.max(0, Math.min(255, (piece ?? bare) + 6 * (uniform() - 0.5)));
			data.fill(code, 3 * (row * WIDTH + column), 3 * (row * WIDTH + column) + 3);
		}
	}
	return { width: WIDTH, height: HEIGHT, channels: 3, colourSpace: 'srgb', data };
}

const LEVEL = [
	{ x: 100, y: 75 },
	{ x: 500, y: 75 },
	{ x: 500, y: 355 },
	{ x: 100, y: 355 },
] as const;

const TILTED = [
	{ x: 130, y: 70 },
	{ x: 490, y: 95 },
	{ x: 505, y: 370 },
	{ x: 90, y: 345 },
] as const;

/** Largest distance of a proposed corner from the true one, as a share of the floor's width. */
function offShare(shot: TrayShot): number {
	const found = proposeTrayCorners(drawTray(shot));
	if (found === undefined) throw new Error('nothing was proposed');
	return Math.max(...found.map(({ x, y }, i) => Math.hypot(x - shot.corners[i]!.x, y - shot.corners[i]!.y))) / 400;
}

test.each([
	['a grey tray on a dark table', LEVEL, [70, 170, 110, 130]],
	['a white tray on a grey table', LEVEL, [120, 240, 190, 225]],
	['a dark tray, tilted and turned', TILTED, [150, 90, 40, 60]],
] as const)('%s: its corners are proposed within two hundredths of its width', (_, corners, codes) => {
	expect(offShare({ corners, codes })).toBeLessThan(0.02);
});

test('a side whose floor runs into the wall without an edge is put a wall’s width inside the rim', () => {
	const drawn = drawTray({ corners: LEVEL, codes: [70, 170, 110, 130] });
	// the lower wall is painted as the floor
	const data = Uint8Array.from(drawn.data);
	for (let row = 354; row < 376; row++) {
		for (let column = 103; column < 497; column++)
			data.fill(130, 3 * (row * WIDTH + column), 3 * (row * WIDTH + column) + 3);
	}
	const found = proposeTrayCorners({ ...drawn, data });
	expect(found?.[2]?.y).toBeGreaterThan(347);
	expect(found?.[2]?.y).toBeLessThan(363);
});

test('nothing is proposed where no tray is: an even table, a heap of pieces, a mat', () => {
	const even: Raster = {
		width: WIDTH,
		height: HEIGHT,
		channels: 3,
		colourSpace: 'srgb',
		data: new Uint8Array(3 * WIDTH * HEIGHT).fill(120),
	};
	expect(proposeTrayCorners(even)).toBeUndefined();
	const heap = drawTray({ corners: LEVEL, codes: [130, 130, 130, 130], cover: 0.6 });
	expect(proposeTrayCorners(heap)).toBeUndefined();
	expect(proposeTrayCorners(drawMat({ missing: [0] }).raster)).toBeUndefined();
});

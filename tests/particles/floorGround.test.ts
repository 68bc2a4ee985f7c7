import { expect, test } from 'vitest';
import { FloorGround } from '@/lib/particles/floorGround';
import type { Raster } from '@/lib/photo/raster';
import { lookAtShades } from '@/lib/photo/sideShade';
import { surfaceFromCorners } from '@/lib/photo/tray';

const [WIDTH, HEIGHT] = [1200, 720];
const CORNERS = [
	{ x: 0, y: 0 },
	{ x: WIDTH, y: 0 },
	{ x: WIDTH, y: HEIGHT },
	{ x: 0, y: HEIGHT },
];

/** Pieces of 10 pixels in every 40 of 0.2 mm, brighter than the dark floor, with so many columns of shade to their right, or half of them to either side. */
function seenOnTray(shadePx: number, isBoth: boolean) {
	const labels = new Uint8Array(WIDTH * HEIGHT);
	const data = new Uint8Array(3 * WIDTH * HEIGHT);
	for (let at = 0; at < labels.length; at++) {
		const [x, y] = [at % WIDTH, Math.floor(at / WIDTH)];
		const right = (x % 40) - 20;
		const isInRow = y % 40 < 10;
		if (isInRow && right >= 0 && right < 10) labels[at] = 4;
		const beyond = right < 0 ? -right : right - 9;
		const isShade = isInRow && labels[at] === 0 && (isBoth ? beyond <= shadePx / 2 : right > 0 && beyond <= shadePx);
		data.fill(labels[at] === 4 ? 160 : isShade ? 30 : 90, 3 * at, 3 * at + 3);
	}
	const raster: Raster = { width: WIDTH, height: HEIGHT, channels: 3, colourSpace: 'srgb', data };
	const map = { width: WIDTH, height: HEIGHT, columnOffset: 0, rowOffset: 0, labels };
	const surface = surfaceFromCorners(CORNERS, WIDTH / 5, HEIGHT / 5, raster);
	return lookAtShades(new FloorGround(map, surface, raster, surface), surface)?.sideShade;
}

test('shade that pieces cast one way on a dark floor is told, the dark round them is not', () => {
	// eight columns of shade to ten of piece
	expect(seenOnTray(8, false)).toBeGreaterThan(0.6);
	expect(seenOnTray(8, false)).toBeLessThan(1);
	expect(seenOnTray(8, true)).toBeLessThan(0.1);
	expect(seenOnTray(0, false)).toBeCloseTo(0, 9);
});

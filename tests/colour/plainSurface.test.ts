import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { expect, test } from 'vitest';
import { correctLight } from '@/lib/colour/correctLight';
import { lightAt } from '@/lib/colour/falloff';
import type { Raster } from '@/lib/photo/raster';
import { encodeSrgb } from '@/lib/photo/srgbCurve';
import { surfaceFromCorners } from '@/lib/photo/tray';

type Colour = readonly [number, number, number];

const WIDTH = 420;
const HEIGHT = 300;
const CORNERS = [
	{ x: 10, y: 10 },
	{ x: 410, y: 10 },
	{ x: 410, y: 290 },
	{ x: 10, y: 290 },
];
const surface = surfaceFromCorners(CORNERS, 200, 140);

/** A tray's floor with square pieces of some colours strewn over 40 % of it. */
function tray(floor: Colour, lamp: Colour, light: (x: number) => number = () => 1): Raster {
	const pieces: Colour[] = [
		[0.5, 0.25, 0.15],
		[0.02, 0.02, 0.02],
		[0.4, 0.03, 0.03],
		[0.03, 0.1, 0.4],
	];
	const random = xoroshiro128plus(11);
	const draw = () => (random.next() >>> 0) / 2 ** 32;
	const strewn = Array.from({ length: 60 * 43 }, () => (draw() < 0.4 ? pieces[Math.floor(4 * draw())]! : floor));
	const data = new Uint8Array(3 * WIDTH * HEIGHT);
	for (let i = 0; i < WIDTH * HEIGHT; i++) {
		const [x, y] = [i % WIDTH, Math.floor(i / WIDTH)];
		const colour = strewn[Math.floor(y / 7) * 60 + Math.floor(x / 7)]!;
		for (let c = 0; c < 3; c++) {
			const linear = colour[c]! * lamp[c]! * light(x) * (1 + 0.04 * (draw() - 0.5));
			data[3 * i + c] = Math.round(255 * encodeSrgb(Math.min(1, linear)));
		}
	}
	return { width: WIDTH, height: HEIGHT, channels: 3, colourSpace: 'srgb', data };
}

test('a grey tray under a warm lamp becomes grey, at unchanged brightness', () => {
	const lamp = [1.1, 1, 0.85] as const;
	const light = correctLight(tray([0.3, 0.3, 0.3], lamp), surface);
	expect(light.source).toBe('surface');
	expect(light.warnings.map((w) => w.code)).toEqual(['colour-from-surface']);
	const floor = lamp.map((v, c) => 0.3 * v * light.gains[c]!);
	expect(Math.max(...floor) / Math.min(...floor)).toBeLessThan(1.02);
	expect(0.2126 * floor[0]! + 0.7152 * floor[1]! + 0.0722 * floor[2]!).toBeCloseTo(
		0.3 * (0.2126 * 1.1 + 0.7152 + 0.0722 * 0.85),
		2,
	);
});

test('light falling off over an even tray is followed', () => {
	const light = correctLight(
		tray([0.5, 0.5, 0.5], [1, 1, 1], (x) => 1 - (0.4 * x) / WIDTH),
		surface,
	);
	expect(light.falloff).toBeDefined();
	// the field runs from pixel 10 to 410 of 420: light 0.990 to 0.610
	const [left] = lightAt(light.falloff!, 0, 70);
	const [right] = lightAt(light.falloff!, 200, 70);
	expect(right / left).toBeCloseTo(0.61 / 0.99, 1);
});

test.each<[string, Colour]>([
	['blue', [0.03, 0.07, 0.3]],
	['red', [0.3, 0.05, 0.04]],
	['wooden', [0.3, 0.17, 0.07]],
	['green', [0.08, 0.25, 0.1]],
])('a %s tray says nothing about the lamp: colours are left alone, with a warning', (_name, floor) => {
	const light = correctLight(tray(floor, [1, 1, 1]), surface);
	expect([light.source, light.gains]).toEqual(['none', [1, 1, 1]]);
	expect(light.warnings.map((w) => w.code)).toEqual(['colour-unreferenced']);
});

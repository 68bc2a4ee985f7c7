import fc from 'fast-check';
import { expect, test } from 'vitest';
import { fitGreys } from '@/lib/colour/fitGreys';
import { STRAIGHT, unbend } from '@/lib/colour/tone';
import { decodeSrgb, encodeSrgb } from '@/lib/photo/srgbCurve';
import optics from '../reference/optics.json';

const REFLECTANCES = [243, 200, 160, 118, 75].map((code) => decodeSrgb(code / 255));
const readings = (camera: (linear: number, channel: number) => number) =>
	REFLECTANCES.map((reflectance) => ({
		reflectance,
		linear: [camera(reflectance, 0), camera(reflectance, 1), camera(reflectance, 2)] as const,
		atPx: { x: 0, y: 0 },
	}));

test('a straight camera needs gains alone, and they are its own turned over', () => {
	const fit = fitGreys(readings((v, c) => v * [0.9, 0.7, 0.5][c]!))!;
	expect(fit.tone).toEqual(STRAIGHT);
	expect(fit.residual).toBeLessThan(1e-6);
	for (const [c, gain] of fit.gains.entries()) expect(gain).toBeCloseTo(1 / [0.9, 0.7, 0.5][c]!, 9);
});

test('gains are the same whatever the exposure, turned over', () => {
	fc.assert(
		fc.property(fc.double({ min: 0.3, max: 1, noNaN: true }), (exposure) => {
			const one = fitGreys(readings((v) => 0.9 * v))!;
			const other = fitGreys(readings((v) => 0.9 * exposure * v))!;
			expect(other.gains[0] * exposure).toBeCloseTo(one.gains[0], 9);
		}),
	);
});

test('a bent camera is straightened: left-out greys are predicted better than by gains alone', () => {
	const bend = (v: number) => {
		const y = encodeSrgb(v);
		return decodeSrgb(y + 0.5 * (y - 0.5) * y * (1 - y));
	};
	const fit = fitGreys(readings((v) => bend(0.8 * v)))!;
	expect(fit.tone.contrast).toBeGreaterThan(0.3);
	for (const [i, reflectance] of REFLECTANCES.entries()) {
		const seen = fit.gains[0] * unbend(bend(0.8 * reflectance), fit.tone);
		// the curve is searched in steps of a tenth of contrast
		expect(seen / reflectance, `grey ${i}`).toBeCloseTo(1, 1);
	}
});

test('one grey still gives gains, none gives nothing', () => {
	expect(fitGreys(readings((v) => v / 2).slice(2, 3))?.gains[1]).toBeCloseTo(2, 9);
	expect(fitGreys([])).toBeUndefined();
});

test('an undone curve never turns back, whatever its shape', () => {
	fc.assert(
		fc.property(
			fc.double({ min: -0.4, max: 0.8, noNaN: true }),
			fc.double({ min: 0.4, max: 1, noNaN: true }),
			(contrast, knee) => {
				const levels = Array.from({ length: 256 }, (_, code) => unbend(decodeSrgb(code / 255), { contrast, knee }));
				for (const [i, level] of levels.entries()) if (i > 0) expect(level).toBeGreaterThan(levels[i - 1]!);
				expect(levels[0]).toBeCloseTo(0, 9);
			},
		),
	);
});

test('light mixes in linear light: half black and half white is code 188, and a middle code means a third of cover', () => {
	const average = optics.find((e) => e.id === 'l.average_linear')!.expected as { linear_mean_code: number };
	expect(Math.round(255 * encodeSrgb((0 + 1) / 2))).toBe(average.linear_mean_code);
	const mixed = optics.find((e) => e.id === 'l.mixed_pixel_bias')!;
	const { linear_bright, linear_dark } = mixed.inputs as { linear_bright: number; linear_dark: number };
	const middle = decodeSrgb((encodeSrgb(linear_bright) + encodeSrgb(linear_dark)) / 2);
	const { cover_at_flip } = mixed.expected as { cover_at_flip: number };
	expect((middle - linear_dark) / (linear_bright - linear_dark)).toBeCloseTo(cover_at_flip, 6);
});

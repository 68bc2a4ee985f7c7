import { differenceCiede2000 } from 'culori';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
	CIELAB_EPSILON,
	CIELAB_KAPPA,
	cielabOf,
	cielabToXyz,
	D65_WHITE,
	lightnessOf,
	linearOfCielab,
	SRGB_TO_XYZ,
	XYZ_TO_SRGB,
} from '@/lib/colour/cielab';
import { ciede2000, lightnessDifference } from '@/lib/colour/difference';
import { type Primaries, rgbToXyzMatrix, SRGB_PRIMARIES, transform } from '@/lib/colour/primaries';
import { decodeSrgb, encodeSrgb, LINEAR_OF_CODE } from '@/lib/photo/srgbCurve';
import { bradfordMatrix, whiteOf } from './bradford';
import { flat, reference } from './referenceColours';

/** @source SMPTE EG 432-1:2010; the white is that of sRGB */
const P3_PRIMARIES: Primaries = { ...SRGB_PRIMARIES, red: [0.68, 0.32], green: [0.265, 0.69] };

type Triple = [number, number, number];

function expectClose(actual: readonly number[], expected: readonly number[], tolerance: number): void {
	expect(actual).toHaveLength(expected.length);
	for (const [i, value] of actual.entries()) expect(Math.abs(value - expected[i]!)).toBeLessThanOrEqual(tolerance);
}

const codeOf = (linear: number) => Math.round(255 * encodeSrgb(Math.min(1, Math.max(0, linear))));
const linearOf = (rgb8: readonly number[]) => rgb8.map((c) => decodeSrgb(c / 255)) as Triple;

test('sRGB codes decode to the linear light of the standard', () => {
	const { inputs, expected, tolerance } = reference('a.srgb.decode');
	const { codes8 } = inputs as { codes8: number[] };
	expectClose(
		codes8.map((c) => decodeSrgb(c / 255)),
		expected,
		tolerance,
	);
	// the table holds 32-bit numbers: seven digits
	expectClose(
		codes8.map((c) => LINEAR_OF_CODE[c]!),
		expected,
		1e-7,
	);
});

test('linear light encodes to the sRGB codes of the standard', () => {
	const { inputs, expected, tolerance } = reference('a.srgb.encode');
	expectClose((inputs as { linear: number[] }).linear.map(encodeSrgb), expected, tolerance);
});

test('every code survives the way to linear light and back', () => {
	expect(Array.from(LINEAR_OF_CODE, codeOf)).toEqual([...LINEAR_OF_CODE.keys()]);
});

test('the sRGB matrix follows from its primaries, forth and back', () => {
	const printed = reference('a.srgb.matrix');
	expectClose(SRGB_TO_XYZ, flat(printed.expected), printed.tolerance);
	const derived = reference('a.srgb.matrix_derived');
	expectClose(SRGB_TO_XYZ, flat(derived.expected), derived.tolerance);
	const inverse = reference('a.srgb.matrix_inverse');
	expectClose(XYZ_TO_SRGB, flat(inverse.expected), inverse.tolerance);
	const white = reference('a.d65.white');
	expectClose(D65_WHITE, white.expected, white.tolerance);
});

test('CIELAB uses the exact constants and gives the published lightness of greys', () => {
	const constants = reference('a.cielab.constants');
	const { epsilon, kappa } = constants.expected as { epsilon: number; kappa: number };
	expect(CIELAB_EPSILON).toBeCloseTo(epsilon, 12);
	expect(CIELAB_KAPPA).toBeCloseTo(kappa, 8);
	const { inputs, expected, tolerance } = reference('a.cielab.lstar');
	expectClose(
		(inputs as { Y: number[] }).Y.map((y) => cielabOf(y, y, y).L),
		expected,
		tolerance,
	);
});

test('CIELAB of the display primaries agrees with the published values', () => {
	const { inputs, expected, tolerance } = reference('a.cielab.primaries');
	const { rgb8 } = inputs as { rgb8: Record<string, Triple> };
	for (const [name, rgb] of Object.entries(rgb8)) {
		const { L, a, b } = cielabOf(...linearOf(rgb));
		expectClose([L, a, b], (expected as Record<string, Triple>)[name]!, tolerance);
	}
});

test('a colour comes back from CIELAB unchanged', () => {
	const channel = fc.double({ min: 0, max: 1.5, noNaN: true });
	fc.assert(
		fc.property(channel, channel, channel, (r, g, b) => {
			expectClose(linearOfCielab(cielabOf(r, g, b)), [r, g, b], 1e-9);
		}),
	);
});

test('CIEDE2000 meets all 34 published pairs to their four decimals', () => {
	const { inputs, expected, tolerance } = reference('a.ciede2000.sharma34');
	const { pairs_lab } = inputs as { pairs_lab: [Triple, Triple][] };
	expect(pairs_lab).toHaveLength(34);
	expectClose(
		pairs_lab.map(([p, q]) => ciede2000(lab(p), lab(q))),
		expected,
		tolerance,
	);
});

test('lightness by itself is the lightness of the whole colour', () => {
	const level = fc.double({ min: -0.1, max: 1.5, noNaN: true });
	fc.assert(
		fc.property(level, level, level, (red, green, blue) => {
			expect(lightnessOf(red, green, blue)).toBe(cielabOf(red, green, blue).L);
		}),
	);
});

test('CIEDE2000 agrees with an independent library, does not mind the order and is no less than what lightness makes', () => {
	const theirs = differenceCiede2000();
	const place = fc.tuple(
		fc.double({ min: 0, max: 100, noNaN: true }),
		fc.double({ min: -100, max: 100, noNaN: true }),
		fc.double({ min: -100, max: 100, noNaN: true }),
	);
	fc.assert(
		fc.property(place, place, (p, q) => {
			const [pl, pa, pb] = p;
			const [ql, qa, qb] = q;
			const other = theirs({ mode: 'lab65', l: pl, a: pa, b: pb }, { mode: 'lab65', l: ql, a: qa, b: qb });
			const own = ciede2000(lab(p), lab(q));
			expect(Math.abs(own - other)).toBeLessThan(1e-6);
			expect(lightnessDifference(lab(p).L, lab(q).L)).toBeLessThanOrEqual(own + 1e-9);
			// hues of colours next to grey turn about a rounding error, and the half-way hue with them
			expect(Math.abs(own - ciede2000(lab(q), lab(p)))).toBeLessThan(1e-6);
		}),
	);
});

test('D50 references reach D65 through the Bradford matrix and give the chart its sRGB codes', () => {
	const matrix = bradfordMatrix(whiteOf(0.3457, 0.3585), whiteOf(0.3127, 0.329));
	const published = reference('a.bradford.d50_to_d65');
	expectClose(matrix, flat(published.expected), published.tolerance);
	const chart = reference('a.chart24.lab_d50').expected as Record<string, Triple>;
	const { expected, tolerance } = reference('a.chart24.srgb8');
	for (const [patch, colour] of Object.entries(chart)) {
		const linear = transform(XYZ_TO_SRGB, transform(matrix, cielabToXyz(lab(colour), whiteOf(0.3457, 0.3585))));
		expectClose(linear.map(codeOf), (expected as Record<string, Triple>)[patch]!, tolerance);
	}
});

test('the grey steps of the chart have the published luminance', () => {
	const { inputs, expected, tolerance } = reference('a.chart24.neutrals');
	for (const [patch, L] of Object.entries((inputs as { L: Record<string, number> }).L)) {
		const [, y] = cielabToXyz({ L, a: 0, b: 0 }, D65_WHITE);
		expectClose([y], [(expected as Record<string, number>)[patch]!], tolerance);
	}
});

test('Display P3 numbers become the published sRGB numbers, and reading them as sRGB would be off by 3.4', () => {
	const p3 = rgbToXyzMatrix(P3_PRIMARIES);
	const primaries = reference('a.p3.primaries');
	expectClose(p3, flat((primaries.expected as { rgb_to_xyz: number[][] }).rgb_to_xyz), primaries.tolerance);
	const { inputs, expected, tolerance } = reference('a.p3.to_srgb');
	const { p3_rgb8 } = inputs as { p3_rgb8: Record<string, Triple> };
	for (const [name, rgb] of Object.entries(p3_rgb8)) {
		const linear = transform(XYZ_TO_SRGB, transform(p3, linearOf(rgb)));
		const encoded = linear.map((v) => Math.sign(v) * encodeSrgb(Math.abs(v)));
		expectClose(encoded, (expected as Record<string, Triple>)[name]!, tolerance);
	}
	const ignored = reference('a.p3.ignored_profile_error');
	const codes = (ignored.inputs as { rgb8: Triple }).rgb8;
	const honoured = transform(XYZ_TO_SRGB, transform(p3, linearOf(codes))) as unknown as Triple;
	expectClose([ciede2000(cielabOf(...linearOf(codes)), cielabOf(...honoured))], [ignored.expected], ignored.tolerance);
});

function lab([L, a, b]: Triple) {
	return { L, a, b };
}

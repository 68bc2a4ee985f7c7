import type { Cielab } from './cielab';

const RADIANS = Math.PI / 180;
const POWER_25 = 25 ** 7;

/**
 * CIEDE2000 colour difference with all weights 1: about 1 is just visible, 5 is plain to see.
 *
 * @source CIE 142-2001; G. Sharma, W. Wu, E. N. Dalal, The CIEDE2000 color-difference formula: implementation notes,
 *   supplementary test data, and mathematical observations, Color Research and Application 30(1), 2005
 */
export function ciede2000(one: Cielab, two: Cielab): number {
	const meanC = (Math.hypot(one.a, one.b) + Math.hypot(two.a, two.b)) / 2;
	const g = 0.5 * (1 - Math.sqrt(meanC ** 7 / (meanC ** 7 + POWER_25)));
	const a1 = (1 + g) * one.a;
	const a2 = (1 + g) * two.a;
	const c1 = Math.hypot(a1, one.b);
	const c2 = Math.hypot(a2, two.b);
	const h1 = hueDeg(a1, one.b);
	const h2 = hueDeg(a2, two.b);

	const deltaL = two.L - one.L;
	const deltaC = c2 - c1;
	const turn = c1 * c2 === 0 ? 0 : ((h2 - h1 + 540) % 360) - 180;
	const deltaH = 2 * Math.sqrt(c1 * c2) * Math.sin((turn * RADIANS) / 2);

	const l = (one.L + two.L) / 2;
	const c = (c1 + c2) / 2;
	const h = meanHueDeg(h1, h2, c1 * c2 === 0);
	const t =
		1 -
		0.17 * Math.cos((h - 30) * RADIANS) +
		0.24 * Math.cos(2 * h * RADIANS) +
		0.32 * Math.cos((3 * h + 6) * RADIANS) -
		0.2 * Math.cos((4 * h - 63) * RADIANS);
	const sl = lightnessWeight(l);
	const sc = 1 + 0.045 * c;
	const sh = 1 + 0.015 * c * t;
	const rc = 2 * Math.sqrt(c ** 7 / (c ** 7 + POWER_25));
	const rt = -Math.sin(60 * Math.exp(-(((h - 275) / 25) ** 2)) * RADIANS) * rc;
	const [x, y, z] = [deltaL / sl, deltaC / sc, deltaH / sh];
	return Math.sqrt(x * x + y * y + z * z + rt * y * z);
}

/** The part of CIEDE2000 that lightness makes: the whole is never less, but for rounding. */
export function lightnessDifference(oneL: number, twoL: number): number {
	return Math.abs(twoL - oneL) / lightnessWeight((oneL + twoL) / 2);
}

function lightnessWeight(l: number): number {
	return 1 + (0.015 * (l - 50) ** 2) / Math.sqrt(20 + (l - 50) ** 2);
}

function hueDeg(a: number, b: number): number {
	if (a === 0 && b === 0) return 0;
	const h = Math.atan2(b, a) / RADIANS;
	return h < 0 ? h + 360 : h;
}

function meanHueDeg(h1: number, h2: number, achromatic: boolean): number {
	if (achromatic) return h1 + h2;
	if (Math.abs(h1 - h2) <= 180) return (h1 + h2) / 2;
	return h1 + h2 < 360 ? (h1 + h2 + 360) / 2 : (h1 + h2 - 360) / 2;
}

import { decodeSrgb, encodeSrgb } from '@/lib/photo/srgbCurve';

/**
 * How a phone bends brightness on top of the sRGB curve, and so what must be undone.
 *
 * `contrast`: strength of an S-curve on the sRGB code y, y + contrast (y - 1/2) y (1 - y).
 * `knee`: linear level above which highlights are rolled off towards 1; 1 means not at all.
 */
export interface Tone {
	readonly contrast: number;
	readonly knee: number;
}

/** No bend: the photo is plain sRGB. */
export const STRAIGHT: Tone = { contrast: 0, knee: 1 };

/** Highest undone level: near clipping the roll-off cannot be undone, so the curve runs on straight from there. */
const LAST_UNBENT = 0.97;

/**
 * Scene-linear level of a linear level read from an sRGB code: undoes the roll-off above the knee, then the S-curve.
 *
 * Monotone for contrast within -0.9 to 0.9 and knee above 0.3.
 */
export function unbend(linear: number, { contrast, knee }: Tone): number {
	return rollBack(straighten(linear, contrast), knee);
}

/** The level with the S-curve undone, which comes first; `rollBack` undoes the roll-off. */
export function straighten(linear: number, contrast: number): number {
	return contrast === 0 ? linear : decodeSrgb(withoutContrast(encodeSrgb(Math.max(linear, 0)), contrast));
}

/** Newton's way back from the S-curve; three steps bring it below a thousandth of a code. */
function withoutContrast(y: number, contrast: number): number {
	let x = y;
	for (let i = 0; i < 4; i++) {
		const off = x + contrast * (x - 0.5) * x * (1 - x) - y;
		const slope = 1 + contrast * (-3 * x * x + 3 * x - 0.5);
		x -= off / slope;
	}
	return x;
}

/** Inverse of the exponential shoulder knee + (1 - knee)(1 - exp(-(x - knee)/(1 - knee))). */
export function rollBack(level: number, knee: number): number {
	if (level <= knee) return level;
	const room = 1 - knee;
	const last = Math.max(LAST_UNBENT, knee);
	if (level <= last) return rolledBack(level, knee, room);
	const slope = room > 0 ? room / (1 - last) : 1;
	return rolledBack(last, knee, room) + slope * (level - last);
}

function rolledBack(level: number, knee: number, room: number): number {
	return room > 0 ? knee - room * Math.log(1 - (level - knee) / room) : level;
}

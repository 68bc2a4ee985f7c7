import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import { type DrawnKind, MINOR_SHARE, MUCH_SHARE } from './errorRates';
import type { SharedErrors } from './sharedErrors';

/** Shares of the pieces between which a class goes from little to much: half and one and a half times `MUCH_SHARE`. */
const FROM_LITTLE = 0.5 * MUCH_SHARE;

/** Factors from seen to true area, one a draw. */
export interface AreaGains {
	readonly of: Readonly<Record<MaterialClass, Float64Array>>;
	/** Of bright and tinned copper together, where their own factors only say how it parts into them. */
	readonly copper?: Float64Array;
}

/**
 * Factors for a spread's make-up; a class between little and much of it lies between the two, and one between nothing and little likewise.
 *
 * @param seen - area seen of each class in the order of MATERIAL_CLASSES, any unit
 */
export function areaGainsOf(shared: SharedErrors, kind: DrawnKind, seen: readonly number[]): AreaGains {
	const [much, little, trace] = [shared.areaGainOf(kind), shared.minorAreaGainOf(kind), shared.traceAreaGainOf(kind)];
	const all = seen.reduce((sum, area) => sum + area, 0);
	const atShare = (area: number, most: Float64Array, least: Float64Array, hardly: Float64Array) => {
		const share = area / Math.max(all, 1e-9);
		return share < FROM_LITTLE
			? mixed(Math.min(1, share / MINOR_SHARE), least, hardly)
			: mixed(Math.min(1, (share - FROM_LITTLE) / (2 * FROM_LITTLE)), most, least);
	};
	const of = perClass((name) => atShare(seen[MATERIAL_CLASSES.indexOf(name)]!, much[name], little[name], trace[name]));
	const copper = shared.copperGainOf(kind);
	const copperSeen = seen[BRIGHT]! + seen[TINNED]!;
	return copper === undefined ? { of } : { of, copper: atShare(copperSeen, copper.much, copper.little, copper.trace) };
}

function mixed(part: number, one: Float64Array, other: Float64Array): Float64Array {
	if (part === 1) return one;
	return part === 0 ? other : between(part, one, other);
}

/** By draws; a function of its own, so that it is compiled for good. */
function between(part: number, one: Float64Array, other: Float64Array): Float64Array {
	const out = new Float64Array(one.length);
	for (let i = 0; i < out.length; i++) out[i] = part * one[i]! + (1 - part) * other[i]!;
	return out;
}

const BRIGHT = MATERIAL_CLASSES.indexOf('brightCopper');
const TINNED = MATERIAL_CLASSES.indexOf('tinnedCopper');

/**
 * Scale copper's areas as one: what is called bright for tinned, or the other way round, is copper all the same. Their own factors part it,
 * in such a way that its volume, width times area, is the volume seen times the factor of both.
 *
 * Scaled each by itself, a few pixels of aluminium or bright copper that are called tinned, of which two thirds are mostly missed, would
 * count threefold.
 *
 * @param areas - by class in the order of MATERIAL_CLASSES; each class's own factor is on them, and stays on all but copper
 * @param widthMm - mean widths in the same order
 */
export function scaleCopperAsOne(
	areas: Float64Array,
	widthMm: readonly number[],
	gains: AreaGains['of'],
	copperGain: number,
	draw: number,
): void {
	const bright = areas[BRIGHT]! * widthMm[BRIGHT]!;
	const tinned = areas[TINNED]! * widthMm[TINNED]!;
	const seen = bright / gains.brightCopper[draw]! + tinned / gains.tinnedCopper[draw]!;
	if (!(bright + tinned > 0)) return;
	const scale = (copperGain * seen) / (bright + tinned);
	areas[BRIGHT]! *= scale;
	areas[TINNED]! *= scale;
}

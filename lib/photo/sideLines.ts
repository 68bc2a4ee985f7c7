import type { LogPicture } from './logPicture';
import type { PointPx } from './raster';

/** A straight edge across one side of the picture, as its distance from the picture's middle at both ends. */
export interface SideLine {
	readonly from: PointPx;
	readonly to: PointPx;
	/** Mean step of log light across it, outwards; negative where it gets darker. */
	readonly step: number;
	/** Share of places along it that step the same way: near 1 on a real edge, near one half in a heap of pieces. */
	readonly agreement: number;
	/** Put where it must be, not seen. */
	readonly inferred?: boolean;
}

/** Sides in the order of a quad's edges: top, right, bottom, left. */
export const SIDES = ['top', 'right', 'bottom', 'left'] as const;
export type Side = (typeof SIDES)[number];

/** Lines may lean so far from level or upright, as a slope: a phone held by hand, a tray not square to it. */
const MOST_SLOPE = 0.3;
const SLOPES = 41;
/** Places looked at along a line. */
const PLACES = 120;
/** Pixels to both sides over which a step is taken. */
const REACH_PX = 2;

/**
 * Straight edges on one side of the picture's middle, from the middle outwards: local bests of how many places along the line
 * step the same way.
 *
 * Summing signed steps lets pieces cancel out, since they step up as often as down, while a faint edge that runs straight
 * across adds up.
 *
 * @param span - where the line is looked at, as shares of the picture's side along it
 * @param least - least agreement and least mean step that make an edge
 */
export function sideLines(
	picture: LogPicture,
	side: Side,
	span: readonly [number, number],
	least: { readonly agreement: number; readonly step: number },
): SideLine[] {
	const { width, height } = picture;
	const level = side === 'top' || side === 'bottom';
	const [along, across] = level ? [width, height] : [height, width];
	const outwards = side === 'top' || side === 'left' ? -1 : 1;
	const half = across / 2;
	const best: (SideLine | undefined)[] = [];
	for (let distance = 4; distance < half - REACH_PX - 1; distance++) {
		let found: SideLine | undefined;
		for (let s = 0; s < SLOPES; s++) {
			const slope = MOST_SLOPE * ((2 * s) / (SLOPES - 1) - 1);
			const line = stepAlong(picture, level, outwards, span, along, half + outwards * distance, slope);
			if (line === undefined) continue;
			const better =
				found === undefined || Math.abs(line.step) * line.agreement > Math.abs(found.step) * found.agreement;
			if (better) found = line;
		}
		best.push(found);
	}
	return best.flatMap((line, i) => {
		if (line === undefined || line.agreement < least.agreement || Math.abs(line.step) < least.step) return [];
		const strength = Math.abs(line.step);
		const isPeak = [-3, -2, -1, 1, 2, 3].every((d) => strength >= Math.abs(best[i + d]?.step ?? 0));
		return isPeak ? [line] : [];
	});
}

/**
 * The same edge looked at along more of its length, its place and slope searched finely around what was found.
 *
 * @param span - where to look now
 */
export function refineSideLine(
	picture: LogPicture,
	side: Side,
	line: SideLine,
	span: readonly [number, number],
): SideLine {
	if (line.inferred) return line;
	const level = side === 'top' || side === 'bottom';
	const along = level ? picture.width : picture.height;
	const outwards = side === 'top' || side === 'left' ? -1 : 1;
	const { from, to } = line;
	const slope = level ? (to.y - from.y) / (to.x - from.x) : (to.x - from.x) / (to.y - from.y);
	const middle = (level ? from.y - slope * (from.x - along / 2) : from.x - slope * (from.y - along / 2)) - 0.5;
	let best = line;
	let most = 0;
	for (let shift = -3; shift <= 3; shift++) {
		for (let turn = -8; turn <= 8; turn++) {
			const tried = stepAlong(picture, level, outwards, span, along, middle + shift, slope + 0.003 * turn);
			// the same kind of edge, lighter or darker outwards as it was
			const strength = tried === undefined ? 0 : tried.step * Math.sign(line.step) * tried.agreement;
			if (tried === undefined || strength <= most) continue;
			most = strength;
			best = tried;
		}
	}
	return best;
}

/** Hot loop: the mean step across one line, the middle of which lies at `middle`. */
function stepAlong(
	{ width, height, log }: LogPicture,
	level: boolean,
	outwards: number,
	[from, to]: readonly [number, number],
	along: number,
	middle: number,
	slope: number,
): SideLine | undefined {
	const at = (t: number) => middle + slope * (t - along / 2);
	let sum = 0;
	let up = 0;
	let down = 0;
	const limit = (level ? height : width) - REACH_PX - 1;
	for (let k = 0; k < PLACES; k++) {
		const t = Math.floor(along * (from + ((to - from) * (k + 0.5)) / PLACES));
		const a = Math.round(at(t));
		if (a < REACH_PX || a > limit) return undefined;
		let step = 0;
		for (let d = 1; d <= REACH_PX; d++) {
			const outer = level ? (a + outwards * d) * width + t : t * width + a + outwards * d;
			const inner = level ? (a - outwards * d) * width + t : t * width + a - outwards * d;
			step += log[outer]! - log[inner]!;
		}
		step /= REACH_PX;
		// a glint or a piece on the line must not outvote the rest of it
		sum += Math.max(-0.5, Math.min(0.5, step));
		if (step > 0) up++;
		else if (step < 0) down++;
	}
	const place = (t: number): PointPx => (level ? { x: t, y: at(t) + 0.5 } : { x: at(t) + 0.5, y: t });
	return {
		from: place(from * along),
		to: place(to * along),
		step: sum / PLACES,
		agreement: Math.max(up, down) / PLACES,
	};
}

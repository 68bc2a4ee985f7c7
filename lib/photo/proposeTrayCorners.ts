import { type LogPicture, logPictureOf } from './logPicture';
import type { PointPx, Raster } from './raster';
import { refineSideLine, SIDES, type Side, type SideLine, sideLines } from './sideLines';

/** Longer side of the copy that is looked at, pixels: edges are seen and noise is not. */
const SEARCH_SIDE_PX = 480;

/**
 * What makes an edge of the tray: nine places in ten along it step the same way, by a few per cent of the light. A heap of
 * pieces reaches three in four. Chosen by eye, bounded by tests/photo/proposeTrayCorners.test.ts.
 */
const EDGE = { agreement: 0.93, step: 0.03 };

/** The middle of a side is looked at first, so that the other two sides' walls stay out of it. */
const FIRST_SPAN: readonly [number, number] = [0.3, 0.7];

/** A rim of pieces inside the floor's edge looks like an edge, but steps less of one mind; how near it lies, how much less. */
const NEAR_SHARE = 0.03;
const OF_ONE_MIND = 0.04;

/** A wall as wide as the others within this factor; its width is seen from the floor's edge to the next edge outwards. */
const WALL_FACTOR = 0.55;

/** Wall widths that are believed, as shares of the copy's longer side. */
const WALL_SHARE = { least: 0.015, most: 0.12 };

/** The floor fills at least this share of the picture, and opposite sides differ at most by this factor. */
const LEAST_FLOOR_SHARE = 0.15;
const SIDES_FACTOR = 0.7;

interface Edge {
	readonly side: Side;
	readonly line: SideLine;
	/** To the next edge outwards, pixels of the copy; undefined without one. */
	readonly wallPx: number | undefined;
}

/**
 * The four inner corners of a plain tray as its rim suggests them, for a person to correct.
 *
 * On each side the innermost straight edge is taken for the end of the floor; where that edge has no wall of the others' width
 * behind it, it is the rim's own, and the floor is put a wall's width inside it. Two such sides are allowed.
 * Limit: hard shadow edges on the floor and mirror images in steel may be taken for its end.
 *
 * @returns corners in pixels, clockwise from the top-left; undefined when it isn't sure that there is a tray
 */
export function proposeTrayCorners(raster: Raster): readonly [PointPx, PointPx, PointPx, PointPx] | undefined {
	const step = Math.max(1, Math.ceil(Math.max(raster.width, raster.height) / SEARCH_SIDE_PX));
	const picture = logPictureOf(raster, step);
	const found = SIDES.map((side) => floorEdge(picture, side));
	if (!found.every((edge) => edge !== undefined)) return undefined;
	const lines = behindWalls(picture, found);
	const rough = lines && cornersOf(lines);
	if (lines === undefined || rough === undefined) return undefined;
	const corners = cornersOf(
		lines.map((line, i) => refineSideLine(picture, SIDES[i]!, line, spanOf(picture, rough, i))),
	);
	if (corners === undefined || !isFloor(picture, corners)) return undefined;
	const [a, b, c, d] = corners.map(({ x, y }) => ({ x: x * step, y: y * step }));
	return [a!, b!, c!, d!];
}

/** The end of the floor on one side: the innermost edge, unless it is a fringe of pieces close inside a clearer one. */
function floorEdge(picture: LogPicture, side: Side): Edge | undefined {
	const edges = sideLines(picture, side, FIRST_SPAN, EDGE);
	const [first] = edges;
	if (first === undefined) return undefined;
	const near = NEAR_SHARE * Math.max(picture.width, picture.height);
	const line =
		edges.find((edge) => between(side, first, edge) <= near && edge.agreement >= first.agreement + OF_ONE_MIND) ??
		first;
	const next = edges[edges.indexOf(line) + 1];
	return { side, line, wallPx: next && between(side, line, next) };
}

/** How far the second edge lies outside the first, pixels. */
function between(side: Side, inner: SideLine, outer: SideLine): number {
	const level = side === 'top' || side === 'bottom';
	const middle = ({ from, to }: SideLine) => (level ? from.y + to.y : from.x + to.x) / 2;
	return (side === 'top' || side === 'left' ? -1 : 1) * (middle(outer) - middle(inner));
}

/** The floor's edges, those that stand where the wall should be moved inwards by the wall's width. */
function behindWalls(picture: LogPicture, edges: readonly Edge[]): readonly SideLine[] | undefined {
	const longer = Math.max(picture.width, picture.height);
	const walls = edges.flatMap(({ wallPx }) => wallPx ?? []).sort((a, b) => a - b);
	const usual = walls[walls.length >> 1];
	if (usual === undefined || usual < WALL_SHARE.least * longer || usual > WALL_SHARE.most * longer) return undefined;
	const fits = ({ wallPx }: Edge) =>
		wallPx !== undefined && wallPx > WALL_FACTOR * usual && wallPx * WALL_FACTOR < usual;
	const misfits = edges.filter((edge) => !fits(edge));
	if (misfits.length > 2) return undefined;
	// too far from the next edge is no rim: something else lies there
	if (misfits.some(({ wallPx }) => wallPx === undefined || wallPx > usual)) return undefined;
	return edges.map((edge) => (fits(edge) ? edge.line : moved(edge, -usual)));
}

function moved({ side, line }: Edge, outwardsPx: number): SideLine {
	const by = (side === 'top' || side === 'left' ? -1 : 1) * outwardsPx;
	const level = side === 'top' || side === 'bottom';
	const move = ({ x, y }: PointPx): PointPx => (level ? { x, y: y + by } : { x: x + by, y });
	return { ...line, from: move(line.from), to: move(line.to), inferred: true };
}

/** Where neighbouring sides meet, clockwise from the top-left. */
function cornersOf(lines: readonly SideLine[]): PointPx[] | undefined {
	const [top, right, bottom, left] = lines;
	if (!top || !right || !bottom || !left) return undefined;
	const corners = [crossing(left, top), crossing(top, right), crossing(right, bottom), crossing(bottom, left)];
	return corners.every((corner) => corner !== undefined) ? corners : undefined;
}

function crossing(a: SideLine, b: SideLine): PointPx | undefined {
	const [ax, ay] = [a.to.x - a.from.x, a.to.y - a.from.y];
	const [bx, by] = [b.to.x - b.from.x, b.to.y - b.from.y];
	const det = ax * by - ay * bx;
	if (Math.abs(det) < 1e-6) return undefined;
	const t = ((b.from.x - a.from.x) * by - (b.from.y - a.from.y) * bx) / det;
	return { x: a.from.x + t * ax, y: a.from.y + t * ay };
}

/** The part of one side to look at anew: all of it but the rounded corners, as shares of the picture. */
function spanOf({ width, height }: LogPicture, corners: readonly PointPx[], side: number): readonly [number, number] {
	const [p, q] = [corners[side]!, corners[(side + 1) % 4]!];
	const [from, to] = side % 2 === 0 ? [p.x / width, q.x / width] : [p.y / height, q.y / height];
	const [low, high] = [Math.min(from, to), Math.max(from, to)];
	return [low + 0.12 * (high - low), high - 0.12 * (high - low)];
}

function isFloor({ width, height }: LogPicture, corners: readonly PointPx[]): boolean {
	const inside = corners.every(({ x, y }) => x >= 0 && y >= 0 && x <= width && y <= height);
	const lengths = corners.map((p, i) => Math.hypot(corners[(i + 1) % 4]!.x - p.x, corners[(i + 1) % 4]!.y - p.y));
	const [top, right, bottom, left] = lengths as [number, number, number, number];
	const alike = (a: number, b: number) => Math.min(a, b) > SIDES_FACTOR * Math.max(a, b);
	const area = corners.reduce(
		(sum, p, i) => sum + (p.x * corners[(i + 1) % 4]!.y - corners[(i + 1) % 4]!.x * p.y) / 2,
		0,
	);
	return inside && alike(top, bottom) && alike(left, right) && area > LEAST_FLOOR_SHARE * width * height;
}

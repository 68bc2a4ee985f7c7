/** The rim of one region: closed rings of pixel corners, x and y in turn; holes are rings of their own. */
export type Rings = readonly (readonly number[])[];

/** Steps along a pixel's sides: east, south, west, north. */
const STEP_X = [1, 0, -1, 0] as const;
const STEP_Y = [0, 1, 0, -1] as const;

/**
 * Rims of labelled regions, followed along the sides of their pixels with the region on the right hand.
 *
 * Pixels that touch by a corner hold together, as in `labelRegions`. Corners closer than `tolerancePx` to the line between
 * their neighbours are left out.
 *
 * @param ids - region number of each pixel, height x width, row-major; 0 belongs to no region
 * @param count - number of regions
 * @param tolerancePx - 0 keeps every corner
 * @returns one entry a region, in the order of their numbers; corner (0, 0) is the outer corner of the first pixel
 * @source following of cracks between pixels: A. Rosenfeld, A. Kak, Digital Picture Processing, 1982 (from memory);
 *   leaving out of corners: D. Douglas, T. Peucker, The Canadian Cartographer 10 (1973) 112 (from memory)
 */
export function traceOutlines(
	ids: Int32Array,
	count: number,
	width: number,
	height: number,
	tolerancePx = 0,
): readonly Rings[] {
	if (ids.length !== width * height) throw new RangeError(`ids: ${width} x ${height} expected, got ${ids.length}`);
	const rims: number[][][] = Array.from({ length: count }, () => []);
	const walked = new Uint8Array(ids.length);
	// every ring runs east along the top of some pixel at least once
	for (let y = 0; y < height; y++) {
		for (let x = 0; x < width; x++) {
			const at = y * width + x;
			const id = ids[at]!;
			if (id === 0 || walked[at] === 1 || (y > 0 && ids[at - width] === id)) continue;
			const ring = followRing(ids, width, height, x, y, walked);
			rims[id - 1]!.push(tolerancePx > 0 ? thinOut(ring, tolerancePx) : ring);
		}
	}
	return rims;
}

/** Walk one ring from the top-left corner of a pixel whose top side is rim; marks the pixels whose tops it walks along. */
function followRing(
	ids: Int32Array,
	width: number,
	height: number,
	startX: number,
	startY: number,
	walked: Uint8Array,
): number[] {
	const id = ids[startY * width + startX]!;
	const isOwn = (x: number, y: number) => x >= 0 && y >= 0 && x < width && y < height && ids[y * width + x] === id;
	const ring: number[] = [];
	let [x, y, heading] = [startX, startY, 0];
	do {
		if (heading === 0) walked[y * width + x] = 1;
		x += STEP_X[heading]!;
		y += STEP_Y[heading]!;
		// the pixels ahead of the corner, on the left and on the right hand of the way
		const left = (heading + 3) % 4;
		const [aheadX, aheadY] = [x + pixelX(heading), y + pixelY(heading)];
		const turn = isOwn(aheadX + STEP_X[left]!, aheadY + STEP_Y[left]!) ? 3 : isOwn(aheadX, aheadY) ? 0 : 1;
		if (turn !== 0) ring.push(x, y);
		heading = (heading + turn) % 4;
	} while (x !== startX || y !== startY || heading !== 0);
	return ring;
}

/** From a corner to the pixel ahead on the right hand. */
function pixelX(heading: number): number {
	return heading === 0 || heading === 3 ? 0 : -1;
}

function pixelY(heading: number): number {
	return heading === 0 || heading === 1 ? 0 : -1;
}

/** Leave out corners that hardly matter; the two corners farthest apart always stay. */
function thinOut(ring: readonly number[], tolerance: number): number[] {
	const n = ring.length / 2;
	if (n <= 4) return [...ring];
	let far = 0;
	let most = -1;
	for (let k = 1; k < n; k++) {
		const square = (ring[2 * k]! - ring[0]!) ** 2 + (ring[2 * k + 1]! - ring[1]!) ** 2;
		if (square > most) [most, far] = [square, k];
	}
	const kept = new Uint8Array(n);
	kept[0] = 1;
	kept[far] = 1;
	const spans: [number, number][] = [
		[0, far],
		[far, n],
	];
	for (let span = spans.pop(); span !== undefined; span = spans.pop()) {
		const [from, to] = span;
		let [worst, at] = [tolerance, -1];
		for (let k = from + 1; k < to; k++) {
			const off = offLine(ring, k, from, to % n);
			if (off > worst) [worst, at] = [off, k];
		}
		if (at < 0) continue;
		kept[at] = 1;
		spans.push([from, at], [at, to]);
	}
	const out: number[] = [];
	for (let k = 0; k < n; k++) if (kept[k] === 1) out.push(ring[2 * k]!, ring[2 * k + 1]!);
	return out;
}

/** Distance of corner `k` from the line between two others. */
function offLine(ring: readonly number[], k: number, from: number, to: number): number {
	const [ax, ay] = [ring[2 * from]!, ring[2 * from + 1]!];
	const [dx, dy] = [ring[2 * to]! - ax, ring[2 * to + 1]! - ay];
	const [px, py] = [ring[2 * k]! - ax, ring[2 * k + 1]! - ay];
	const length = Math.hypot(dx, dy);
	return length === 0 ? Math.hypot(px, py) : Math.abs(px * dy - py * dx) / length;
}

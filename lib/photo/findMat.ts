import { centreOf, findMarkers, type Marker } from './findMarkers';
import { applyHomography, homographyOf } from './homography';
import { cornersOf, MAT_SIZES, type MatGeometry, type MatSize, matGeometry } from './matGeometry';
import type { PointPx, Raster } from './raster';
import type { Surface } from './surface';
import { signedArea, surfaceOf } from './tray';

/** The mat on a photo. */
export interface MatFound {
	readonly found: true;
	readonly size: MatSize;
	readonly surface: Surface;
	readonly markers: readonly Marker[];
	/** Root mean square distance of the sixteen mark corners from one flat sheet, pixels. */
	readonly residualPx: number;
	/** Step width at the marks' edges, 10 to 90 %, pixels: the picture's sharpness. Median over the four marks. */
	readonly edgeWidthPx?: number;
}

export interface MatMissing {
	readonly found: false;
	/** Ids of all marks of the dictionary that were seen, whosever they are. */
	readonly markersSeen: readonly number[];
	/** A plain sentence: what is wrong and what to do. */
	readonly reason: string;
}

/**
 * Largest misfit of the sixteen corners to one flat sheet, as a share of a mark's side. A sheet that curls by a
 * millimetre under a phone held at 300 mm moves a corner by some 0.3 mm, 0.02 of a side; another layout is off by whole sides.
 */
const LARGEST_MISFIT = 0.08;

/**
 * Find the printed spread mat: its four marks, in the mat's own order and places.
 *
 * The sheet's size is told by its mark ids. All sixteen corners share one least-squares plane map; pixels are not resampled.
 *
 * @returns the surface with its field in millimetres as drawn (see `withFieldSize` for a printer that drew it otherwise),
 *   or why there is none
 */
export function findMat(raster: Raster): MatFound | MatMissing {
	const markers = findMarkers(raster);
	const markersSeen = [...new Set(markers.map((m) => m.id))];
	const candidates = MAT_SIZES.map((size) => {
		const geometry = matGeometry(size);
		return { geometry, own: geometry.fiducials.map((f) => markers.filter((m) => m.id === f.id)) };
	});
	const fitted = candidates.flatMap(({ geometry, own }) =>
		oneOfEach(own).map((four) => fitMat(raster, geometry, four)),
	);
	const [mat, another] = fitted.filter((fit) => typeof fit !== 'string');
	if (mat !== undefined && another === undefined) return mat;
	const most = Math.max(...candidates.map(({ own }) => own.filter((marks) => marks.length > 0).length));
	const wrong = fitted.find((fit) => typeof fit === 'string');
	return { found: false, markersSeen, reason: another === undefined ? (wrong ?? shortOf(most)) : TWO_MATS };
}

/**
 * Why there is no mat, for who is to do something about it: looks as well whether the picture, or the print, is turned round as in a mirror.
 *
 * That costs a search for marks of its own, so it is asked only where no other surface will do.
 */
export function whyNoMat(raster: Raster, { markersSeen, reason }: MatMissing): string {
	return markersSeen.length === 0 && findMat(mirrored(raster)).found ? MIRRORED : reason;
}

/** The picture as a mirror shows it: left is right. */
function mirrored(raster: Raster): Raster {
	const { width, height, data } = raster;
	const turned = new Uint8Array(data.length);
	for (let y = 0; y < height; y++) {
		for (let x = 0; x < width; x++) {
			const [from, to] = [3 * (y * width + x), 3 * (y * width + width - 1 - x)];
			turned[to] = data[from]!;
			turned[to + 1] = data[from + 1]!;
			turned[to + 2] = data[from + 2]!;
		}
	}
	return { ...raster, data: turned };
}

/** Marks of one id beyond these tell no more than that there are several mats, while the ways grow with their fourth power. */
const MOST_OF_ONE = 3;

/** Every way to take one mark of each id; where a second mat shows in part, one of them is the whole mat. */
function oneOfEach(marks: readonly (readonly Marker[])[]): readonly (readonly Marker[])[] {
	return marks.reduce<readonly (readonly Marker[])[]>(
		(ways, same) => ways.flatMap((way) => same.slice(0, MOST_OF_ONE).map((mark) => [...way, mark])),
		[[]],
	);
}

function fitMat(raster: Raster, geometry: MatGeometry, markers: readonly Marker[]): MatFound | string {
	const outline = markers.map(({ outlinePx }) => centreOf(outlinePx));
	if (!isConvexClockwise(outline) || !markers.every((m) => isConvexClockwise(m.outlinePx))) return WRONG_LAYOUT;
	const { field } = geometry;
	const onField = geometry.fiducials.flatMap((f) => cornersOf(f).map((p) => ({ x: p.x - field.x, y: p.y - field.y })));
	const onPhoto = markers.flatMap((m) => m.outlinePx);
	const mmToPx = homographyOf(onField, onPhoto);
	const misses = onField.map((p, i) => {
		const q = applyHomography(mmToPx, p.x, p.y);
		return Math.hypot(q.x - onPhoto[i]!.x, q.y - onPhoto[i]!.y);
	});
	const residualPx = Math.sqrt(misses.reduce((s, m) => s + m * m, 0) / misses.length);
	const sidePx = Math.sqrt(markers.reduce((s, m) => s + signedArea(m.outlinePx), 0) / markers.length);
	if (residualPx > LARGEST_MISFIT * sidePx) return WRONG_LAYOUT;
	const widths = markers.flatMap((m) => m.edgeWidthPx ?? []).sort((a, b) => a - b);
	const edgeWidthPx = widths[widths.length >> 1];
	return {
		found: true,
		size: geometry.size,
		surface: surfaceOf('mat', mmToPx, field.width, field.height, raster),
		markers,
		residualPx,
		...(edgeWidthPx === undefined ? {} : { edgeWidthPx }),
	};
}

const WRONG_LAYOUT =
	"Four corner marks are in the picture, but not in the places they have on the mat: it is another sheet, or the mat is folded. Lay the mat flat and photograph it whole, or give the tray's corners.";

const MIRRORED =
	'The mat is in the picture, but turned round as in a mirror. Take the photo with the rear camera and mirroring switched off; if the mat itself reads backwards, print it again without mirroring.';

const TWO_MATS =
	'Two mats are in the picture, so which spread is meant cannot be told. Photograph each mat by itself, or cover the other one.';

const IN_WORDS = ['None', 'Only one', 'Only two', 'Only three'] as const;

function shortOf(count: number): string {
	const verb = count === 0 || count === 1 ? 'is' : 'are';
	const orHidden = count === 0 ? 'or they are' : 'or the others are';
	return `${IN_WORDS[count] ?? 'Not all'} of the mat's four corner marks ${verb} in the picture, ${orHidden} covered or blurred. Uncover the corners and photograph the whole mat, or give the tray's corners.`;
}

function isConvexClockwise(quad: readonly PointPx[]): boolean {
	return quad.every((p, i) => {
		const q = quad[(i + 1) % quad.length]!;
		const r = quad[(i + 2) % quad.length]!;
		return (q.x - p.x) * (r.y - q.y) - (q.y - p.y) * (r.x - q.x) > 0;
	});
}

import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { traceOutlines } from '../particles/traceOutlines';
import { labelRegions } from '../segmentation/labelRegions';
import { CLASS_STYLES, type ClassStyle, UNJUDGED_STYLE } from './classPalette';

/** A loop of points round a region, pixels; holes run the other way round. */
type Loop = readonly (readonly [number, number])[];

/** Each code that is drawn, with its style. */
const DRAWN: readonly (readonly [number, ClassStyle])[] = [
	...MATERIAL_CLASSES.map((name) => [CLASS_CODE[name], CLASS_STYLES[name]] as const),
	[UNJUDGED, UNJUDGED_STYLE],
];

/**
 * Outlines of all pieces as a drawing to lay over the photo: from outside in a white line, a black one, and one in the class's
 * colour with the class's own dashes, so that they show on any colour and in grey. The pieces themselves stay visible.
 *
 * @param codes - class codes, width x height, row-major
 * @param lineWidth - of each line, pixels
 * @param smooth - half-width, pixels, of the running mean that takes the steps out of enlarged outlines; 0 leaves them
 * @returns SVG
 */
export function classOutlines(
	codes: Uint8Array,
	width: number,
	height: number,
	lineWidth: number,
	smooth: number,
): string {
	// all pieces of a class together are one region here
	const place = new Map(DRAWN.map(([code], k) => [code, k + 1]));
	const ids = Int32Array.from(codes, (code) => place.get(code) ?? 0);
	const rims = traceOutlines(ids, DRAWN.length, width, height);
	const paths = DRAWN.map(([, style], k) => ({
		style,
		path: pathOf((rims[k] ?? []).map((ring) => smoothed(ring, smooth))),
	})).filter(({ path }) => path !== '');
	const all = paths.map(({ path }) => path).join('');
	const number = (value: number) => value.toFixed(2);
	return [
		`<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" fill="none" stroke-linejoin="round">`,
		`<clipPath id="bare"><path clip-rule="evenodd" d="M0 0H${width}V${height}H0Z${all}"/></clipPath>`,
		`<g clip-path="url(#bare)"><path d="${all}" stroke="#fff" stroke-width="${number(5 * lineWidth)}"/>`,
		`<path d="${all}" stroke="#000" stroke-width="${number(3 * lineWidth)}"/></g>`,
		...paths.map(({ style, path }) => {
			const dash = style.dash
				.split(' ')
				.filter(Boolean)
				.map((part) => number(Number(part) * lineWidth))
				.join(' ');
			const dashed = dash === '' ? '' : ` stroke-dasharray="${dash}"`;
			return `<path d="${path}" stroke="${style.colour}" stroke-width="${number(1.4 * lineWidth)}"${dashed}/>`;
		}),
		'</svg>',
	].join('');
}

/** Running mean along the ring, every `half`-th step kept; a ring too short for that keeps its corners. */
function smoothed(ring: readonly number[], half: number): Loop {
	const corners = Array.from({ length: ring.length / 2 }, (_, k) => [ring[2 * k]!, ring[2 * k + 1]!] as const);
	if (half < 1) return corners;
	const steps = stepsAlong(corners);
	const n = steps.length;
	if (n < 4 * half) return corners;
	const window = 2 * half + 1;
	return Array.from({ length: Math.floor(n / half) }, (_, part) => {
		let [x, y] = [0, 0];
		for (let k = -half; k <= half; k++) {
			const point = steps[(part * half + k + n) % n]!;
			x += point[0];
			y += point[1];
		}
		return [x / window, y / window] as const;
	});
}

/** Every pixel corner that the ring passes; from one of its own corners to the next it runs along a row or a column. */
function stepsAlong(corners: Loop): Loop {
	return corners.flatMap(([x, y], k) => {
		const [nextX, nextY] = corners[(k + 1) % corners.length]!;
		const length = Math.abs(nextX - x) + Math.abs(nextY - y);
		const [acrossPx, downPx] = [Math.sign(nextX - x), Math.sign(nextY - y)];
		return Array.from({ length }, (_, step) => [x + step * acrossPx, y + step * downPx] as const);
	});
}

function pathOf(loops: readonly Loop[]): string {
	const number = (value: number) => String(Number(value.toFixed(1)));
	return loops.map((loop) => `M${loop.map(([x, y]) => `${number(x)} ${number(y)}`).join('L')}Z`).join('');
}

/** A class's letter on a piece; x and y as fractions of the picture's width and height. */
export interface PieceLetter {
	readonly letter: string;
	readonly x: number;
	readonly y: number;
}

/** Letters on one picture, at most; more would hide the pieces. */
const MOST_LETTERS = 60;

/**
 * Where to write the class's letter: on the largest pieces, at their middle, no two close together.
 *
 * @param leastPx - pieces of fewer pixels get no letter
 */
export function pieceLetters(
	codes: Uint8Array,
	width: number,
	height: number,
	leastPx: number,
): readonly PieceLetter[] {
	const { count, ids } = labelRegions(codes, width, height);
	const sums = new Float64Array(3 * (count + 1));
	const codeOf = new Uint8Array(count + 1);
	for (let i = 0; i < ids.length; i++) {
		const id = ids[i]!;
		if (id === 0) continue;
		codeOf[id] = codes[i]!;
		sums[3 * id]! += 1;
		sums[3 * id + 1]! += i % width;
		sums[3 * id + 2]! += Math.floor(i / width);
	}
	const pieces = Array.from({ length: count }, (_, i) => i + 1)
		.map((id) => ({
			id,
			px: sums[3 * id]!,
			x: sums[3 * id + 1]! / sums[3 * id]!,
			y: sums[3 * id + 2]! / sums[3 * id]!,
		}))
		.filter(({ id, px, x, y }) => px >= leastPx && ids[Math.round(y) * width + Math.round(x)] === id)
		.sort((a, b) => b.px - a.px);
	const placed: PieceLetter[] = [];
	for (const { id, x, y } of pieces) {
		const letter = DRAWN.find(([code]) => code === codeOf[id] && code !== BACKGROUND)?.[1].letter;
		const at = { x: thousandth((x + 0.5) / width), y: thousandth((y + 0.5) / height) };
		const isFree = placed.every((one) => Math.hypot(one.x - at.x, ((one.y - at.y) * height) / width) > 0.06);
		if (letter === undefined || !isFree) continue;
		placed.push({ letter, ...at });
		if (placed.length === MOST_LETTERS) break;
	}
	return placed;
}

function thousandth(fraction: number): number {
	return Math.round(1000 * fraction) / 1000;
}

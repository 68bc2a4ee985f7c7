import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import { kernelsOf } from '../segmentation/kernelMemory';
import { CLASS_STYLES, UNJUDGED_STYLE } from './classPalette';
import { AT_ONCE, COLOURED_CODES, edgeRow } from './edgeCode';

/**
 * Fully opaque pixels in the order red, green, blue, alpha of a canvas, by class code. Bare surface beside a piece is black, so that
 * the piece's colour shows on any ground.
 */
const COLOURS = (() => {
	const words = new Uint32Array(256);
	const bytes = new Uint8Array(words.buffer);
	const set = (code: number, colour: string) =>
		bytes.set([1, 3, 5].map((at) => Number.parseInt(colour.slice(at, at + 2), 16)).concat(255), 4 * code);
	set(BACKGROUND, '#000000');
	for (const name of MATERIAL_CLASSES) set(CLASS_CODE[name], CLASS_STYLES[name].colour);
	set(UNJUDGED, UNJUDGED_STYLE.colour);
	return words;
})();

interface EdgeFunctions {
	edgeRow(above: number, own: number, below: number, into: number, sixteens: number, colours: number): void;
}

const edgeKernels = kernelsOf<EdgeFunctions>([edgeRow]);

/** The same colours as the kernel takes them, what is not judged last. */
const CHANNELS = Uint8Array.from({ length: 4 * COLOURED_CODES }, (_, i) => {
	const code = i % COLOURED_CODES;
	const colour = COLOURS[code === COLOURED_CODES - 1 ? UNJUDGED : code]!;
	return colour >>> (8 * Math.floor(i / COLOURED_CODES));
});

/**
 * The edges of a label picture as pixels of a canvas (red, green, blue, alpha), the rest clear: each piece's outermost pixels in its
 * class's colour, the bare pixels beside them black. Quick enough to follow a finger.
 *
 * @param labels - class codes, height x width
 * @returns may be written again by the next call: a new array for each picture costs more than the picture
 */
export function edgePicture(labels: Uint8Array, width: number, height: number): Uint8ClampedArray<ArrayBuffer> {
	const sixteens = Math.ceil(width / AT_ONCE);
	// one byte before each row and one behind it, which repeat its rim
	const stride = AT_ONCE * sixteens + 2;
	const [colours, rows] = [0, CHANNELS.length];
	const picture = rows + stride * height;
	const kernels = edgeKernels(picture + 4 * (width * height + AT_ONCE));
	if (kernels === undefined) return edgesSlowly(labels, width, height);
	const { bytes } = kernels;
	bytes.set(CHANNELS, colours);
	const at = (row: number) => rows + stride * Math.min(height - 1, Math.max(0, row));
	for (let row = 0; row < height; row++) {
		const own = labels.subarray(row * width, (row + 1) * width);
		bytes.set(own, at(row) + 1);
		bytes[at(row)] = own[0]!;
		bytes[at(row) + 1 + width] = own[width - 1]!;
	}
	for (let row = 0; row < height; row++)
		kernels.edgeRow(at(row - 1), at(row), at(row + 1), picture + 4 * width * row, sixteens, colours);
	return new Uint8ClampedArray(bytes.buffer, picture, 4 * width * height);
}

/** The same where WebAssembly has no SIMD. */
export function edgesSlowly(labels: Uint8Array, width: number, height: number): Uint8ClampedArray<ArrayBuffer> {
	const out = new Uint32Array(width * height);
	// Hot loop: wherever a pixel differs from the one to its right or below it, both are edges.
	for (let row = 0; row < height; row++) {
		const down = row < height - 1 ? width : 0;
		const last = row * width + width - 1;
		let label = labels[row * width]!;
		for (let i = row * width; i <= last; i++) {
			const right = i < last ? labels[i + 1]! : label;
			const below = labels[i + down]!;
			if (label !== right) {
				out[i] = COLOURS[label]!;
				out[i + 1] = COLOURS[right]!;
			}
			if (label !== below) {
				out[i] = COLOURS[label]!;
				out[i + down] = COLOURS[below]!;
			}
			label = right;
		}
	}
	return new Uint8ClampedArray(out.buffer);
}

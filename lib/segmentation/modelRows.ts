import { encodeSrgb } from '../photo/srgbCurve';

/** A picture at the model's scale, row by row, as the network takes it. */
export interface ModelRows {
	/** Multiples of eight: the network halves the picture three times. */
	readonly width: number;
	readonly height: number;
	/**
	 * Begin to read. What it gives for row `y` holds four numbers a pixel, the last without meaning, and is good until the next row is asked for; rows are cheapest
	 * in order. Colours are linear reflectance (a perfect white diffuser 1 in each channel, negative values taken as 0) by sRGB's curve, clipped at 1.2, less a half.
	 */
	readonly open: () => (y: number) => Float32Array;
}

/** Numbers of a pixel of `ModelRows`. */
export const ROW_STEP = 4;
/** Largest reflectance after the curve. */
export const BRIGHTEST = 1.2;
/** Steps of the curve's table from 0 to 2; read between in straight lines it is off by less than 2e-6. */
export const CURVE_STEPS = 32768;
export const CURVE = Float32Array.from({ length: CURVE_STEPS + 2 }, (_, i) => encodeSrgb((2 * i) / CURVE_STEPS));

/**
 * Rows of linear reflectance as the network takes them.
 *
 * @param openLines - begins to read: what it gives writes row `y` into `line`, three channels a pixel
 */
export function curvedRows(
	width: number,
	height: number,
	openLines: () => (y: number, line: Float32Array) => void,
): ModelRows {
	return {
		width,
		height,
		open() {
			const readLine = openLines();
			const line = new Float32Array(3 * width);
			const row = new Float32Array(ROW_STEP * width);
			return (y) => {
				readLine(y, line);
				// Hot loop.
				for (let x = 0, from = 0; x < row.length; x += ROW_STEP, from += 3)
					for (let c = 0; c < 3; c++) row[x + c] = curved(line[from + c]!);
				return row;
			};
		},
	};
}

function curved(reflectance: number): number {
	const place = Math.min(CURVE_STEPS, Math.max(0, reflectance) * (CURVE_STEPS / 2));
	const low = Math.floor(place);
	return Math.min(BRIGHTEST, CURVE[low]! + (place - low) * (CURVE[low + 1]! - CURVE[low]!)) - 0.5;
}

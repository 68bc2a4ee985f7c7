import { create } from 'qrcode';

/** A code to be scanned, as squares. */
export interface CodeSquares {
	/** Squares along one side, with the quiet margin. */
	readonly side: number;
	/** The dark squares as an SVG path, one unit a square along its sides. */
	readonly path: string;
}

/** Clear squares around the code. @source ISO/IEC 18004:2015, 9.1 (quiet zone of 4 modules) */
const MARGIN = 4;

/**
 * Text as a QR code, drawn by whoever shows it. A quarter of the code may be hidden by glare or a thumb.
 *
 * @source ISO/IEC 18004:2015, error correction level Q
 */
export function codeSquares(text: string): CodeSquares {
	const { size, data } = create(text, { errorCorrectionLevel: 'Q' }).modules;
	const parts: string[] = [];
	for (let row = 0; row < size; row++) {
		// a run of dark squares is one rectangle, so that no hair line shows on paper
		for (let column = 0; column < size; column++) {
			const start = column;
			while (column < size && data[row * size + column]) column++;
			if (column > start) parts.push(`M${start + MARGIN} ${row + MARGIN}h${column - start}v1h-${column - start}z`);
		}
	}
	return { side: size + 2 * MARGIN, path: parts.join('') };
}

import { homographyOf, invertHomography } from '@/lib/photo/homography';
import type { Surface } from '@/lib/photo/surface';
import type { ClassMap } from '@/lib/segmentation/classMap';

/** A picture drawn shape by shape; a pixel belongs to a shape if its centre does. */
export class Drawing {
	readonly labels: Uint8Array;
	constructor(
		readonly width: number,
		readonly height: number,
	) {
		this.labels = new Uint8Array(width * height);
	}
	paint(label: number, holds: (x: number, y: number) => boolean): this {
		for (let row = 0; row < this.height; row++) {
			for (let column = 0; column < this.width; column++) {
				if (holds(column + 0.5, row + 0.5)) this.labels[row * this.width + column] = label;
			}
		}
		return this;
	}
	bar(label: number, x: number, y: number, length: number, breadth: number, turnDeg: number): this {
		const c = Math.cos((turnDeg * Math.PI) / 180);
		const s = Math.sin((turnDeg * Math.PI) / 180);
		return this.paint(label, (px, py) => {
			const along = (px - x) * c + (py - y) * s;
			const aside = (py - y) * c - (px - x) * s;
			return Math.abs(along) <= length / 2 && Math.abs(aside) <= breadth / 2;
		});
	}
	disc(label: number, x: number, y: number, diameter: number): this {
		return this.paint(label, (px, py) => Math.hypot(px - x, py - y) <= diameter / 2);
	}
	map(): ClassMap {
		return { width: this.width, height: this.height, columnOffset: 0, rowOffset: 0, labels: this.labels };
	}
}

/** A picture as rows of digits, `.` for 0. */
export function digits(rows: readonly string[]): { labels: Uint8Array; width: number; height: number } {
	const width = rows[0]?.length ?? 0;
	return {
		width,
		height: rows.length,
		labels: Uint8Array.from(rows.join(''), (c) => (c === '.' ? 0 : Number(c))),
	};
}

/** A surface whose field fills a picture of that size, seen straight from above. */
export function flatSurface(width: number, height: number, pxPerMm: number): Surface {
	const corners = cornersOf(width, height);
	return surfaceFrom(corners, width / pxPerMm, height / pxPerMm, pxPerMm);
}

/** A surface with the given corners on the photo. */
export function surfaceFrom(
	cornersPx: Surface['cornersPx'],
	fieldWidthMm: number,
	fieldHeightMm: number,
	pxPerMm: number,
): Surface {
	const pxToMm = homographyOf(cornersPx, cornersOf(fieldWidthMm, fieldHeightMm));
	const mmToPx = invertHomography(pxToMm);
	return { kind: 'tray', fieldWidthMm, fieldHeightMm, cornersPx, pxToMm, mmToPx, pxPerMm };
}

function cornersOf(width: number, height: number): Surface['cornersPx'] {
	return [
		{ x: 0, y: 0 },
		{ x: width, y: 0 },
		{ x: width, y: height },
		{ x: 0, y: height },
	];
}

/** The picture turned by 90 degrees clockwise. */
export function turned(labels: Uint8Array, width: number, height: number): Uint8Array {
	const out = new Uint8Array(labels.length);
	for (let row = 0; row < height; row++) {
		for (let column = 0; column < width; column++) {
			out[column * height + (height - 1 - row)] = labels[row * width + column]!;
		}
	}
	return out;
}

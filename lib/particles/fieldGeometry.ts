import { determinant } from '../photo/homography';
import type { Surface } from '../photo/surface';

/** Places and areas on the field for the pixels of one photo row; columns and rows are those of the upright photo. */
export interface FieldLine {
	/** Area that the pixel covers on the surface, mm2; 0 where its centre lies outside the field. */
	areaMm2(column: number): number;
	/** The same where the centre is known to lie inside. */
	insideMm2(column: number): number;
	/**
	 * Areas of the pixels from one column to another (not included) that all lie inside the field, summed: the integral of the area
	 * along the row, off the sum by (step of w / w)^2 / 2 of it, some 1e-8 on a photo.
	 */
	areaOf(from: number, to: number): number;
	/** Column, whole or not, whose centre lies at x or y millimetres on the field's plane; not finite where the row runs along it. */
	columnAtX(xMm: number): number;
	columnAtY(yMm: number): number;
	/** Writes `areaMm2`, `xMm` and `yMm` of the pixel into the first three places: one call, and no number made for each. */
	place(column: number, into: Float64Array): void;
	/** Where the pixel's centre lies on the field, mm from its top-left corner. */
	xMm(column: number): number;
	yMm(column: number): number;
}

/**
 * Millimetres for loops over pixels: the same figures as lib/photo/homography.ts gives, with what stays the same along a
 * row worked out once. The line given out is one object, changed by the next call of `line`.
 */
export function fieldGeometry(surface: Surface): FieldGeometry {
	return new FieldGeometry(surface);
}

/** Gives out the lines of a surface. */
export class FieldGeometry {
	private readonly known: Line;
	constructor(private readonly surface: Surface) {
		const m = surface.pxToMm;
		const det = Math.abs(determinant(m));
		this.known = new Line(m[0], m[3], m[6], det, surface.fieldWidthMm, surface.fieldHeightMm);
	}
	line(row: number): FieldLine {
		const m = this.surface.pxToMm;
		const line = this.known;
		const y = row + 0.5;
		line.x0 = m[1] * y + m[2] + 0.5 * m[0];
		line.y0 = m[4] * y + m[5] + 0.5 * m[3];
		line.w0 = m[7] * y + m[8] + 0.5 * m[6];
		return line;
	}
}

class Line implements FieldLine {
	x0 = 0;
	y0 = 0;
	w0 = 1;
	constructor(
		private readonly xStep: number,
		private readonly yStep: number,
		private readonly wStep: number,
		private readonly det: number,
		private readonly fieldWidthMm: number,
		private readonly fieldHeightMm: number,
	) {}
	areaMm2(column: number): number {
		const w = this.w0 + this.wStep * column;
		const x = (this.x0 + this.xStep * column) / w;
		const y = (this.y0 + this.yStep * column) / w;
		if (x < 0 || y < 0 || x > this.fieldWidthMm || y > this.fieldHeightMm) return 0;
		return Math.abs(this.det / (w * w * w));
	}
	place(column: number, into: Float64Array): void {
		const w = this.w0 + this.wStep * column;
		const x = (this.x0 + this.xStep * column) / w;
		const y = (this.y0 + this.yStep * column) / w;
		const isOutside = x < 0 || y < 0 || x > this.fieldWidthMm || y > this.fieldHeightMm;
		into[0] = isOutside ? 0 : Math.abs(this.det / (w * w * w));
		into[1] = x;
		into[2] = y;
	}
	insideMm2(column: number): number {
		const w = this.w0 + this.wStep * column;
		return Math.abs(this.det / (w * w * w));
	}
	areaOf(from: number, to: number): number {
		const a = this.w0 + this.wStep * (from - 0.5);
		const b = this.w0 + this.wStep * (to - 0.5);
		return Math.abs((this.det * (to - from) * (a + b)) / (2 * a * a * b * b));
	}
	columnAtX(xMm: number): number {
		return (xMm * this.w0 - this.x0) / (this.xStep - xMm * this.wStep);
	}
	columnAtY(yMm: number): number {
		return (yMm * this.w0 - this.y0) / (this.yStep - yMm * this.wStep);
	}
	xMm(column: number): number {
		return (this.x0 + this.xStep * column) / (this.w0 + this.wStep * column);
	}
	yMm(column: number): number {
		return (this.y0 + this.yStep * column) / (this.w0 + this.wStep * column);
	}
}

import { medianOf } from '@/lib/quantity/moments';
import { applyHomography } from './homography';
import type { Raster } from './raster';
import { luminanceAt } from './srgbCurve';
import type { Surface } from './surface';

/** Looks across the field's width. */
const ACROSS = 240;

/** Cells of the field in which the paper's own brightness is taken, so that fall-off and shadows do not count as pieces. */
const CELLS = { across: 8, down: 6 };

/** Share of a cell's spots that are surely no brighter than paper: glints lie above. */
const PAPER_QUANTILE = 0.9;

/**
 * Below this share of the paper's light a spot is covered, not just shaded: a piece's soft shadow leaves half. So it is this
 * far from the paper's hue (log ratios of red and blue to green), which a camera's colour blotches do not reach. By eye.
 */
const DARKER_THAN = 0.5;
const OTHER_HUE = 0.3;

/**
 * Share of a printed mat's field that pieces lie on, at a glance: what is darker than the paper around it or of another hue.
 *
 * Good to a few hundredths (measured: tests/photo/quickCoverage.test.ts), which is enough to say that a spread is too dense; the reading
 * itself counts classes. White pieces are missed. Meaningless on a tray, whose floor is of any colour.
 *
 * @returns 0 to 1; undefined where hardly any of the field is in the picture
 */
export function quickCoverage(raster: Raster, surface: Surface): number | undefined {
	const down = Math.max(1, Math.round((ACROSS * surface.fieldHeightMm) / surface.fieldWidthMm));
	const cells = new Map<number, { light: number; red: number; blue: number }[]>();
	for (let j = 0; j < down; j++) {
		for (let i = 0; i < ACROSS; i++) {
			const { x, y } = applyHomography(
				surface.mmToPx,
				(surface.fieldWidthMm * (i + 0.5)) / ACROSS,
				(surface.fieldHeightMm * (j + 0.5)) / down,
			);
			if (!(x >= 0 && y >= 0 && x < raster.width && y < raster.height)) continue;
			const at = 3 * (Math.floor(y) * raster.width + Math.floor(x));
			const [r, g, b] = [raster.data[at]! + 1, raster.data[at + 1]! + 1, raster.data[at + 2]! + 1];
			const spot = { light: luminanceAt(raster.data, at), red: Math.log(r / g), blue: Math.log(b / g) };
			const cell = Math.floor((j * CELLS.down) / down) * CELLS.across + Math.floor((i * CELLS.across) / ACROSS);
			const spots = cells.get(cell);
			if (spots === undefined) cells.set(cell, [spot]);
			else spots.push(spot);
		}
	}
	let seen = 0;
	let covered = 0;
	for (const spots of cells.values()) {
		const sorted = [...spots].sort((a, b) => a.light - b.light);
		const light = sorted[Math.floor(PAPER_QUANTILE * (sorted.length - 1))]!.light;
		// hue of the paper: median over the spots nearly as bright
		const paper = sorted.filter((spot) => spot.light >= 0.9 * light);
		const red = medianOf(paper.map((spot) => spot.red));
		const blue = medianOf(paper.map((spot) => spot.blue));
		seen += spots.length;
		covered += spots.filter(
			(spot) => spot.light < DARKER_THAN * light || Math.hypot(spot.red - red, spot.blue - blue) > OTHER_HUE,
		).length;
	}
	return seen < ACROSS ? undefined : covered / seen;
}

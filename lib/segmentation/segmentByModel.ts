import type { LightCorrection } from '../colour/correctLight';
import { MATERIAL_CLASSES } from '../material/classes';
import type { Raster } from '../photo/raster';
import type { Surface } from '../photo/surface';
import { callClasses, favourOf, Tally } from './callClasses';
import type { ClassMap } from './classMap';
import { type CoveredShares, coverFromShares } from './cover';
import { isTorn, markRivalled, marksOnMap, OTHER_LIGHTS, underGains } from './doubtfulLight';
import { boundsOf, fieldBoxOf } from './fieldBox';
import type { FieldGrid } from './fieldCopy';
import { gapsBetween } from './gaps';
import type { Light } from './light';
import type { ModelHead, PixelModel } from './pixelModel';
import { seenRows } from './seenRows';
import { thinParts } from './thinParts';

/** Background and the material classes: what the model tells apart, in the order of the class codes. */
const CLASSES = MATERIAL_CLASSES.length + 1;
/** The model halves the picture three times, so it takes sizes that eight divides. */
const SIZE_STEP = 8;
/** How far from a gap its two shores are looked for, model pixels: what lens and network blur a gap over, on either side of it. */
const GAP_REACH_PX = 3;
/**
 * How far the model's prior is taken back before the likeliest class is called: 0 calls what is likeliest among the pixels it was
 * trained on, where rare classes hardly ever win, 1 calls all classes alike. Cross-validation over scenes found 0.6 best for
 * single pixels and 0.25 best for areas (models/CARD.md); labels lie between, since strands called more often are also called
 * wider: where between was picked on the twenty whole trays of the card. Areas hardly hang on it: they have a rule of their own (areaRule.ts).
 */
const PRIOR_TAKEN_BACK = 0.4;

/**
 * Read the field into classes with the pixel model, at the model's own scale, row by row, so that neither the picture it sees nor its answers are held.
 *
 * The box of the field is brought to `model.scalePxPerMm` by one factor, in light-corrected linear reflectance; the model's
 * probabilities are interpolated back to the photo's pixels, or to those of a coarser grid. Labels say what a piece is; how much there is of each class comes
 * from likeliest classes and summed probabilities together (areaRule.ts). Covered shares of thin parts come from the probability
 * of bare surface. Nothing outside the field is read.
 *
 * @param light.source - `none`: the field is read in other lights too; what is copper in one and insulation in another stays
 *   unjudged, and insulation that might be metal in one of them is marked
 * @param head - a last layer fitted to taught spots, in place of the model's own
 * @param grid - the class map's pixels, where they are not to be the photo's own
 */
export async function segmentByModel(
	raster: Raster,
	surface: Surface,
	light: Light & { readonly source?: LightCorrection['source'] },
	model: PixelModel,
	head?: ModelHead,
	grid: FieldGrid = { width: raster.width, height: raster.height, surface, reducedBy: 1, left: 0, top: 0 },
): Promise<ClassMap> {
	const seen = boundsOf(raster, surface);
	const box = fieldBoxOf(grid, grid.surface);
	const favour = model.prior.map((share) => share ** -PRIOR_TAKEN_BACK);
	const { width, height, columnOffset, rowOffset } = box;
	const labels = new Uint8Array(width * height);
	const covered = new Uint8Array(width * height);
	const tally = new Tally(width, height);
	const scale = model.scalePxPerMm / surface.pxPerMm;
	const rows = Math.max(1, Math.round(seen.height * scale));
	const columns = Math.max(1, Math.round(seen.width * scale));
	const along = (count: number, size: number, offset: number, start: number) => ({
		count,
		start: ((start + grid.reducedBy * (offset + 0.5)) * count) / size - 0.5,
		step: (grid.reducedBy * count) / size,
	});
	const down = along(rows, seen.height, rowOffset, grid.top - seen.rowOffset);
	const across = along(columns, seen.width, columnOffset, grid.left - seen.columnOffset);
	const up = (n: number) => Math.ceil(n / SIZE_STEP) * SIZE_STEP;
	const target = { columns, rows, width: up(columns), height: up(rows) };
	const others: Uint8Array[] = [];
	const rivalled = new Uint8Array(light.source === 'none' ? target.width * target.height : 0);
	for (const gains of light.source === 'none' ? OTHER_LIGHTS : []) {
		const calls = new Uint8Array(target.width * target.height);
		const other = seenRows(raster, surface, underGains(light, gains), seen, target);
		await model.read(
			other,
			(row, shares) => {
				for (let x = 0; x < target.width; x++) calls[row * target.width + x] = calledAt(shares, CLASSES * x, favour);
				markRivalled(shares, favour, rivalled.subarray(row * target.width));
			},
			head,
		);
		others.push(calls);
	}
	const calling = callClasses({ favour: favourOf(favour), down, across }, box, { labels, covered, tally });
	await model.read(
		seenRows(raster, surface, light, seen, target),
		(row, shares) => {
			if (light.source === 'none') markRivalled(shares, favour, rivalled.subarray(row * target.width));
			for (const calls of others) doubt(shares, calls.subarray(row * target.width), favour);
			calling(row, shares);
		},
		head,
	);
	const reach = Math.max(1, Math.round(GAP_REACH_PX / (scale * grid.reducedBy)));
	const gaps = gapsBetween(labels, covered, width, height, reach);
	const rivals = light.source === 'none' ? { rivalled: marksOnMap(box, rivalled, target.width, { down, across }) } : {};
	const map = { width, height, columnOffset, rowOffset, labels, gaps, areas: tally.areas(), ...rivals };
	return coverFromShares(map, thinParts(labels, width, height), new SharesCalled(covered));
}

/** Covered shares as called, 0 to 255 a pixel. A class, so that all photos' are of one shape to the compiler. */
class SharesCalled implements CoveredShares {
	constructor(private readonly covered: Uint8Array) {}
	addTo(into: Float64Array, from: number, to: number): void {
		const { covered } = this;
		let sum = 0;
		for (let i = from; i < to; i++) sum += covered[i]! / 255;
		into[0]! += sum;
	}
}

/** Below any confidence: what a torn pixel's probabilities, which sum to 1, are scaled to. */
const TORN = 0.1;

/** Take the confidence from a row's pixels that another light would make copper of insulation, or the reverse. */
function doubt(shares: Float32Array, calls: Uint8Array, favour: readonly number[]): void {
	for (let at = 0, x = 0; at < shares.length; at += CLASSES, x++) {
		if (!isTorn(calledAt(shares, at, favour), calls[x]!)) continue;
		for (let c = 0; c < CLASSES; c++) shares[at + c]! *= TORN;
	}
}

function calledAt(p: Float32Array, at: number, favour: readonly number[]): number {
	let best = 0;
	for (let c = 1; c < CLASSES; c++) if (p[at + c]! * favour[c]! > p[at + best]! * favour[best]!) best = c;
	return best;
}

/**
 * Prints the weights of the vote by shine in lib/segmentation/gloss.ts, fitted to labelled close-ups, and how much the vote says beside
 * colour on scenes held out (five folds by scene).
 *
 *   npx tsx models/gloss/fitGloss.ts FOLDER
 *
 * FOLDER holds labelled close-ups as `models/closeUps.ts` reads them.
 */
import { Matrix, solve } from 'ml-matrix';
import { CLASS_CODE } from '../../lib/material/classes';
import { DEFAULT_MATERIAL } from '../../lib/material/defaultMaterial';
import { cellsOf } from '../../lib/segmentation/cells';
import { fieldBoxOf } from '../../lib/segmentation/fieldBox';
import { copperPieces } from '../../lib/segmentation/glossLabels';
import { LOG_STEPS_PER_E } from '../../lib/segmentation/lookupTable';
import { colourTable, labelCells } from '../../lib/segmentation/segmentByThreshold';
import { closeUpsOf, readCloseUp } from '../closeUps';

/** A piece that is called copper: start, shine and tint of the photo, its own less those, and its mean log-odds by colour. */
interface Sample {
	readonly x: readonly number[];
	/** Share of its pixels, copper or insulation, that are copper. */
	readonly metal: number;
	weight: number;
}

const LEAST_PIECES = 5;
const FOLDS = 5;
/** Ridge on all weights but the first, so that no fold runs away. */
const RIDGE = 0.5;

const folder = process.argv[2];
if (folder === undefined) throw new Error('name the folder of labelled close-ups');
const scenes: Sample[][] = [];
for (const stem of closeUpsOf(folder)) scenes.push(await samplesOf(stem));
const telling = scenes.filter((scene) => scene.length > 0);
const withGloss = [0, 1, 2, 3, 4, 5];
const byColour = [0, 5];
console.log(`${telling.length} scenes, ${telling.flat().length} pieces`);
console.log(
	`held out, bits a piece: by colour ${heldOut(byColour).toFixed(3)}, with shine ${heldOut(withGloss).toFixed(3)}`,
);
console.log(
	'start, shine, tint, own shine, own tint, colour:',
	regress(telling.flat(), withGloss)
		.map((w) => w.toFixed(2))
		.join(' '),
);

async function samplesOf(stem: string): Promise<Sample[]> {
	const { raster, mask, surface, light } = await readCloseUp(stem);
	const box = fieldBoxOf(raster, surface);
	const cells = cellsOf(raster, surface, light, box);
	const { copperOverInsulation } = colourTable(cells, surface, DEFAULT_MATERIAL);
	const map = labelCells(cells, box, surface, DEFAULT_MATERIAL);
	const { runs, region, gloss, pixels } = copperPieces(raster, surface, light, map);
	const sums = gloss.map(() => ({ copper: 0, insulation: 0, odds: 0 }));
	for (let run = 0; run < runs.count; run++) {
		const sum = sums[region[run]! - 1]!;
		for (let i = runs.start[run]!; i < runs.end[run]!; i++) {
			if (mask[i] === CLASS_CODE.brightCopper) sum.copper++;
			if (mask[i] === CLASS_CODE.insulation) sum.insulation++;
			if (cells.cell[i]! >= 0) sum.odds += copperOverInsulation[cells.cell[i]!]! / LOG_STEPS_PER_E;
		}
	}
	const shown = [...gloss.keys()].filter((k) => gloss[k] !== undefined);
	if (shown.length < LEAST_PIECES) return [];
	const sizes = shown.map((k) => Math.sqrt(pixels[k]!));
	const all = sizes.reduce((sum, size) => sum + size, 0);
	const mean = (of: 'shine' | 'tint') => shown.reduce((sum, k, n) => sum + sizes[n]! * gloss[k]![of], 0) / all;
	const [shine, tint] = [mean('shine'), mean('tint')];
	const samples = shown.map((k) => {
		const { copper, insulation, odds } = sums[k]!;
		return {
			x: [1, shine, tint, gloss[k]!.shine - shine, gloss[k]!.tint - tint, odds / pixels[k]!],
			metal: copper / Math.max(1, copper + insulation),
			weight: Math.sqrt(copper + insulation),
		};
	});
	const weights = samples.reduce((sum, { weight }) => sum + weight, 0);
	for (const sample of samples) sample.weight /= Math.max(weights, 1e-9);
	return samples;
}

/** Logistic regression by Newton's method (D. Cox, J. R. Stat. Soc. B 20 (1958) 215, from memory). */
function regress(samples: readonly Sample[], columns: readonly number[]): number[] {
	const n = columns.length;
	const scale = samples.length / samples.reduce((sum, { weight }) => sum + weight, 0);
	let weights = new Array<number>(n).fill(0);
	for (let round = 0; round < 25; round++) {
		const gradient = Matrix.zeros(n, 1);
		const hessian = Matrix.zeros(n, n);
		for (const { x, metal, weight } of samples) {
			const own = columns.map((c) => x[c]!);
			const chance = 1 / (1 + Math.exp(-own.reduce((sum, v, i) => sum + v * weights[i]!, 0)));
			for (let i = 0; i < n; i++) {
				gradient.set(i, 0, gradient.get(i, 0) + scale * weight * (chance - metal) * own[i]!);
				for (let j = 0; j < n; j++)
					hessian.set(i, j, hessian.get(i, j) + scale * weight * chance * (1 - chance) * own[i]! * own[j]!);
			}
		}
		for (let i = 0; i < n; i++) {
			if (i > 0) gradient.set(i, 0, gradient.get(i, 0) + RIDGE * weights[i]!);
			hessian.set(i, i, hessian.get(i, i) + (i > 0 ? RIDGE : 1e-6));
		}
		const step = solve(hessian, gradient).to1DArray();
		weights = weights.map((w, i) => w - step[i]!);
	}
	return weights;
}

/** Mean bits by which scenes that took no part in the fit surprise it; every scene counts alike. */
function heldOut(columns: readonly number[]): number {
	const bits = Array.from({ length: FOLDS }, (_, fold) => {
		const weights = regress(telling.filter((_, s) => s % FOLDS !== fold).flat(), columns);
		return telling
			.filter((_, s) => s % FOLDS === fold)
			.map((scene) =>
				scene.reduce((sum, { x, metal, weight }) => {
					const odds = columns.reduce((all, c, i) => all + x[c]! * weights[i]!, 0);
					return sum + weight * (metal * Math.log1p(Math.exp(-odds)) + (1 - metal) * Math.log1p(Math.exp(odds)));
				}, 0),
			);
	}).flat();
	return bits.reduce((sum, b) => sum + b, 0) / bits.length / Math.LN2;
}

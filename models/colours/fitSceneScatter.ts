/**
 * Prints the scatter from scene to scene of lib/grade/sceneScatter.ts: the smallest, in steps of a tenth, at which the ranges of area
 * shares hold the truth in 95 of 100 scenes.
 *
 *   npx tsx models/colours/fitSceneScatter.ts FILES
 *
 * FILES hold tables of scenes read by colours alone: close-ups as crossValidate.ts prints them, fold by fold, and whole trays as
 * `npm run bench:accuracy -- --method threshold --tables` does. Copper is settled first, aluminium then.
 */
import { readFileSync } from 'node:fs';
import { measuredErrorRates } from '../../lib/grade/measuredErrorRates';
import type { SceneScatter } from '../../lib/grade/sceneScatter';
import { drawSharedErrors } from '../../lib/grade/sharedErrors';
import { drawSpread } from '../../lib/grade/spreadDraws';
import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../../lib/material/classes';
import { DEFAULT_MATERIAL } from '../../lib/material/defaultMaterial';
import type { SpreadReading } from '../../lib/particles/spreadReading';
import { estimateOf } from '../../lib/quantity/estimateOf';
import { DEFAULT_SEED } from '../../lib/quantity/seededRandom';

const DRAWS = 1000;
const WANTED = 0.95;
const MOST = 3;
/** A range that misses by less holds: a thousandth of the pieces' area is less than its edges are known to. */
const SLACK = 0.001;
/** Pixels a square millimetre, and what a piece is like where only pixels are known: scatter by count is a small part here. */
const PX_PER_MM2 = 64;
const PIECE = { areaMm2: 4, widthMm: 0.8 };

interface Scene {
	readonly picture: string;
	readonly surface: string;
	readonly table: readonly (readonly number[])[];
}

const GROUPS = {
	copper: ['brightCopper', 'tinnedCopper'],
	aluminium: ['aluminium'],
	insulation: ['insulation'],
} as const;

const scenes = process.argv
	.slice(2)
	.flatMap((file) => readFileSync(file, 'utf8').split('\n'))
	.filter((line) => line.includes('"table"') && line.includes('"method":"threshold"'))
	.map((line) => JSON.parse(line) as Scene);
for (const kind of ['threshold-mat', 'threshold-tray'] as const) {
	const own = scenes.filter(({ surface }) => (surface === 'mat') === (kind === 'threshold-mat'));
	let scatter: SceneScatter = { copper: 0, aluminium: 0 };
	console.log(kind, own.length, 'scenes, as they are', held(kind, own, scatter));
	for (const name of ['copper', 'aluminium'] as const) {
		while (held(kind, own, scatter)[name].share < WANTED && scatter[name] < MOST)
			scatter = { ...scatter, [name]: Math.round(10 * scatter[name] + 1) / 10 };
	}
	console.log(kind, scatter, held(kind, own, scatter));
}

/** Share of the scenes whose ranges hold each group's true share, and the ranges' mean width in points. */
function held(kind: 'threshold-mat' | 'threshold-tray', own: readonly Scene[], sceneScatter: SceneScatter) {
	const rates = { ...measuredErrorRates, [kind]: { ...measuredErrorRates[kind], sceneScatter } };
	const shared = drawSharedErrors(DEFAULT_MATERIAL, rates, DRAWS, DEFAULT_SEED);
	const sums = { copper: [0, 0], aluminium: [0, 0], insulation: [0, 0] };
	for (const scene of own) {
		const { areaFraction, calledMm2, blankMm2 } = drawSpread(readingOf(kind, scene), DEFAULT_MATERIAL, shared, [
			scene.picture,
		]);
		const critical = blankMm2.copper.slice().sort()[Math.floor(WANTED * DRAWS)]!;
		for (const [group, names] of Object.entries(GROUPS)) {
			const draws = areaFraction[names[0]].map((share, i) => share + (names[1] ? areaFraction[names[1]][i]! : 0));
			const range = estimateOf(draws);
			// what a blank could show as well begins at nought
			const low = group === 'copper' && calledMm2.copper <= critical ? 0 : range.low;
			const truth = names.reduce((sum, name) => sum + trueShare(scene, name), 0);
			const sum = sums[group as keyof typeof GROUPS];
			sum[0]! += Number(low - SLACK <= truth && truth <= range.high + SLACK);
			sum[1]! += 100 * (range.high - low);
		}
	}
	const of = ([holds, width]: readonly number[]) => ({
		share: Math.round((1000 * holds!) / own.length) / 1000,
		widthPoints: Math.round(width! / own.length),
	});
	return { copper: of(sums.copper), aluminium: of(sums.aluminium), insulation: of(sums.insulation) };
}

function trueShare({ table }: Scene, name: MaterialClass): number {
	const pixels = table.slice(1).map((row) => row.reduce((sum, count) => sum + count, 0));
	return pixels[MATERIAL_CLASSES.indexOf(name)]! / pixels.reduce((sum, count) => sum + count, 0);
}

/** One block of pieces of like size that covers what was called. */
function readingOf(kind: 'threshold-mat' | 'threshold-tray', { table }: Scene): SpreadReading {
	const areaMm2 = perClass(
		(name) => table.reduce((sum, row) => sum + row[MATERIAL_CLASSES.indexOf(name) + 1]!, 0) / PX_PER_MM2,
	);
	const fieldMm2 = table.flat().reduce((sum, count) => sum + count, 0) / PX_PER_MM2;
	const block = {
		areaMm2,
		widthAreaMm3: perClass((name) => areaMm2[name] * PIECE.widthMm),
		sheetAreaMm2: perClass(() => 0),
		unjudgedMm2: 0,
		fieldMm2,
	};
	const each = PIECE.areaMm2 * PIECE.widthMm;
	const pieces = perClass((name) => ({
		count: Math.round(areaMm2[name] / PIECE.areaMm2),
		meanWidthAreaMm3: each,
		weightedMeanWidthAreaMm3: each,
		medianWidthMm: PIECE.widthMm,
	}));
	const coverageFraction = Object.values(areaMm2).reduce((sum, area) => sum + area, 0) / fieldMm2;
	const surfaceKind = kind === 'threshold-mat' ? 'mat' : 'tray';
	return { method: 'threshold', surfaceKind, blocks: [block], pieces, coverageFraction };
}

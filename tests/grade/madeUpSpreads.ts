import type { ErrorRates, ErrorRatesByKind } from '@/lib/grade/errorRates';
import { defaultLockedCopper } from '@/lib/grade/lockedCopper';
import { type OverlapOfClass, overlapByClass } from '@/lib/grade/overlap';
import { breadthU } from '@/lib/grade/rims';
import { MATERIAL_CLASSES, type MaterialClass, perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import type { Material } from '@/lib/material/material';
import type { SpreadReading } from '@/lib/particles/spreadReading';
import type { Quantity } from '@/lib/quantity/quantity';
import { type Random, seededRandom } from '@/lib/quantity/seededRandom';

const FIELD_MM2 = 17_000;
const BLOCKS = 48;
const COVERED = 0.2;
/** A mat that fills a photo of 3 megapixels. */
const PIXEL_MM = 0.12;

/** Width and area of a typical piece of each class, mm and mm2; areas scatter about it. The numbers are invented. */
const PIECE: Readonly<Record<MaterialClass, { readonly widthMm: number; readonly areaMm2: number }>> = {
	brightCopper: { widthMm: 0.5, areaMm2: 1.5 },
	tinnedCopper: { widthMm: 0.25, areaMm2: 0.7 },
	aluminium: { widthMm: 0.9, areaMm2: 2.5 },
	insulation: { widthMm: 1.4, areaMm2: 3 },
	other: { widthMm: 1, areaMm2: 1.5 },
};

/**
 * Mass shares of the classes in a bin, in the order of MATERIAL_CLASSES: a high, a middle and very low grades (about where copper is just
 * told from false calls, a quarter of that, a twentieth), and clean plastic.
 */
export const TRUE_BINS = {
	high: [0.85, 0.08, 0.02, 0.04, 0.01],
	middle: [0.25, 0.05, 0.05, 0.63, 0.02],
	lean: [0.016, 0.004, 0.004, 0.97, 0.006],
	'very low': [0.004, 0.001, 0.004, 0.985, 0.006],
	trace: [0.0008, 0.0002, 0.004, 0.989, 0.006],
	blank: [0, 0, 0, 1, 0],
} as const;
export type BinName = keyof typeof TRUE_BINS;

/** What is the same for all photos of one made-up run: drawn from the very distributions the material states. */
export interface World {
	readonly gramsPerMm3: Readonly<Record<MaterialClass, number>>;
	readonly copperFraction: Readonly<Record<MaterialClass, number>>;
	readonly piled: number;
	readonly order: number;
	readonly merged: Readonly<Record<MaterialClass, number>>;
	readonly rates: readonly (readonly number[])[];
	readonly lockedFactor: number;
	/** How far off the rims are read: standard normal. */
	readonly rims: Readonly<Record<MaterialClass, number>>;
}

/** A table of error rates that calls 5 % of every class something else, with that scatter from scene to scene. */
export function errorRatesOf(wrong: number, logSd: number): ErrorRatesByKind {
	const classes = MATERIAL_CLASSES.length + 1;
	const square = (of: (k: number, j: number) => number) =>
		Array.from({ length: classes }, (_, k) => Array.from({ length: classes }, (__, j) => of(k, j)));
	const table: ErrorRates = {
		source: 'made for a test',
		scenes: 10,
		// bare surface is taken for a piece ten times more rarely than one class for another: most of the field is bare
		rate: square((k, j) => {
			const off = k === 0 ? wrong / 10 / (classes - 1) : wrong / (classes - 1);
			return k === j ? 1 - off * (classes - 1) : off;
		}),
		logSd: square(() => logSd),
	};
	return { 'threshold-mat': table, 'threshold-tray': table, 'model-mat': table, 'model-tray': table };
}

export function drawWorld(run: number, material: Material, errorRates: ErrorRatesByKind): World {
	const random = seededRandom(run, 'made-up world');
	const logNormal = ({ value, u }: Quantity) => {
		const sigma = Math.sqrt(Math.log(1 + (u / value) ** 2));
		return value * Math.exp(sigma * random.normal() - sigma ** 2 / 2);
	};
	const { rate, logSd } = errorRates['threshold-mat'];
	return {
		gramsPerMm3: perClass((name) => {
			const { densityKgPerM3, shape } = material.classes[name];
			return logNormal(densityKgPerM3) * logNormal(shape.factor) * 1e-6;
		}),
		copperFraction: perClass((name) => material.classes[name].copperFraction.value),
		piled: random.uniform(),
		order: random.uniform(),
		merged: perClass(() => random.uniform()),
		rates: rate.map((row, k) => {
			const drawn = row.map((share, j) => {
				const sigma = logSd[k]![j]!;
				return k === j ? 0 : share * Math.exp(sigma * random.normal() - sigma ** 2 / 2);
			});
			const wrong = drawn.reduce((sum, share) => sum + share, 0);
			return drawn.map((share, j) => (k === j ? 1 - wrong : share));
		}),
		lockedFactor: random.gamma(1.2) / 1.2,
		rims: perClass(() => random.normal()),
	};
}

/** True mass fractions of the bin, locked copper counted. */
export function truthOf(
	bin: BinName,
	world: World,
): { readonly copper: number; readonly freeCopper: number; readonly insulation: number } {
	const mass = perClass((name) => TRUE_BINS[bin][MATERIAL_CLASSES.indexOf(name)]!);
	const free =
		mass.brightCopper * world.copperFraction.brightCopper + mass.tinnedCopper * world.copperFraction.tinnedCopper;
	const locked = defaultLockedCopper(free, mass.insulation, world.lockedFactor);
	const of = (massG: number) => massG / (1 + locked);
	return { copper: of(free + locked), freeCopper: of(free), insulation: of(mass.insulation) };
}

/**
 * A scoop of the bin, spread, photographed and read with the world's errors.
 *
 * @param shares - what the bin holds where it was scooped, if not what it holds on the whole
 * @param covered - part of the field that it was scooped to cover
 */
export function readSpreadOf(
	bin: BinName,
	world: World,
	seed: string,
	shares: readonly number[] = TRUE_BINS[bin],
	covered = COVERED,
): SpreadReading {
	const random = seededRandom(1, 'made-up spread', bin, seed);
	const meanMassG = (name: MaterialClass) => PIECE[name].areaMm2 * PIECE[name].widthMm * world.gramsPerMm3[name];
	const perGram = perClass((name) => shares[MATERIAL_CLASSES.indexOf(name)]! / meanMassG(name));
	const areaPerGram = MATERIAL_CLASSES.reduce((sum, name) => sum + perGram[name] * PIECE[name].areaMm2, 0);
	const grams = (covered * FIELD_MM2) / areaPerGram;
	const laidMm2 = perClass((name) => perGram[name] * PIECE[name].areaMm2 * grams);
	// the method reckons from what is seen of what was laid
	const once = overlapOf(laidMm2);
	const overlap = overlapOf(perClass((name) => laidMm2[name] * seenShare(once[name], world)));
	const seen = Array.from({ length: BLOCKS }, () => perClass(() => 0));
	const pieces = perClass((name) => {
		const areas = Array.from({ length: poisson(perGram[name] * grams, random) }, () => {
			const areaMm2 = PIECE[name].areaMm2 * random.gamma(2) * 0.5;
			const block = seen[Math.floor(random.uniform() * BLOCKS)]!;
			block[name] += areaMm2 * seenShare(overlap[name], world);
			return areaMm2 * PIECE[name].widthMm;
		});
		const sum = areas.reduce((total, area) => total + area, 0);
		return {
			count: areas.length,
			meanWidthAreaMm3: areas.length > 0 ? sum / areas.length : 0,
			weightedMeanWidthAreaMm3: sum > 0 ? areas.reduce((total, area) => total + area ** 2, 0) / sum : 0,
			medianWidthMm: PIECE[name].widthMm,
		};
	});
	return {
		method: 'threshold',
		surfaceKind: 'mat',
		blocks: seen.map((block) => blockAsCalled(block, world, mergedWidths(world, overlap))),
		pieces,
		pixelMm: PIXEL_MM,
		coverageFraction: covered,
	};
}

/** What chance overlap takes on a field that pieces of these areas lie on. */
function overlapOf(areaMm2: Readonly<Record<MaterialClass, number>>): Readonly<Record<MaterialClass, OverlapOfClass>> {
	const block = {
		areaMm2,
		widthAreaMm3: perClass((name) => areaMm2[name] * PIECE[name].widthMm),
		sheetAreaMm2: perClass(() => 0),
		unjudgedMm2: 0,
		fieldMm2: FIELD_MM2,
	};
	const none = { count: 0, meanWidthAreaMm3: 0, weightedMeanWidthAreaMm3: 0, medianWidthMm: 0 };
	const pieces = perClass(() => none);
	return overlapByClass(
		{ method: 'threshold', surfaceKind: 'mat', blocks: [block], pieces, coverageFraction: COVERED },
		DEFAULT_MATERIAL,
	);
}

/** Share of a class's area that is seen in this world. */
function seenShare({ level, tilted }: OverlapOfClass, { piled, order }: World): number {
	return Math.exp(-piled * (level + order * tilted));
}

/** Pieces that lie against their own kind read as broader ones. */
function mergedWidths(
	{ piled, merged }: World,
	overlap: Readonly<Record<MaterialClass, OverlapOfClass>>,
): Readonly<Record<MaterialClass, number>> {
	return perClass((name) => Math.exp(piled * merged[name] * overlap[name].own));
}

function blockAsCalled(
	seen: Readonly<Record<MaterialClass, number>>,
	{ rates, rims }: World,
	merged: Readonly<Record<MaterialClass, number>>,
): SpreadReading['blocks'][number] {
	const fieldMm2 = FIELD_MM2 / BLOCKS;
	const bare = Math.max(0, fieldMm2 - MATERIAL_CLASSES.reduce((sum, name) => sum + seen[name], 0));
	const truth = [bare, ...MATERIAL_CLASSES.map((name) => seen[name])];
	const areaMm2 = perClass((name) => {
		const j = MATERIAL_CLASSES.indexOf(name) + 1;
		return truth.reduce((sum, area, k) => sum + area * rates[k]![j]!, 0);
	});
	return {
		areaMm2,
		// a wrongly called patch is as wide as the class it joins, as the method takes it
		widthAreaMm3: perClass((name) => (areaMm2[name] * PIECE[name].widthMm * merged[name]) / broader(name, rims[name])),
		sheetAreaMm2: perClass(() => 0),
		unjudgedMm2: 0,
		fieldMm2,
	};
}

/** True over read breadth where rims are that many standard deviations off. */
function broader(name: MaterialClass, rim: number): number {
	const sigma = Math.sqrt(Math.log(1 + breadthU(PIXEL_MM, PIECE[name].widthMm) ** 2));
	return Math.exp(sigma * rim - sigma ** 2 / 2);
}

/** A Poisson count, by adding up waiting times; rounded normal above 500, where nobody can tell. */
function poisson(mean: number, random: Random): number {
	if (mean > 500) return Math.max(0, Math.round(mean + Math.sqrt(mean) * random.normal()));
	let count = -1;
	for (let time = 0; time <= mean; count++) time -= Math.log(1 - random.uniform());
	return count;
}

import { Matrix, pseudoInverse } from 'ml-matrix';
import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { estimateOf } from '../quantity/estimateOf';
import { covarianceOf, meanOf } from '../quantity/moments';
import type { Estimate } from '../quantity/quantity';
import { seededRandom } from '../quantity/seededRandom';
import { holdStill, inOtherScene } from './causes';
import { type CheckOf, weighingU } from './checkEntry';
import { falseCallsOf, type IdlePile, whyIdle } from './idlePile';
import { type PartialSort, unweighedPiles } from './partialSort';
import type { SharedErrors } from './sharedErrors';
import { drawSpread } from './spreadDraws';

/** A photographed spread that was picked apart and weighed by class. */
export interface SortedSpread {
	/** In a sentence: `spread 2 of Middlings`. */
	readonly label: string;
	/** What its draws go by instead of the label, where that may change while nothing else does. */
	readonly drawnAs?: string;
	/** In another light than the photos that are graded: what is called wrongly there is not what is called wrongly here. */
	readonly isOfOtherScene?: true;
	readonly reading: SpreadReading;
	readonly check: CheckOf<'handSort'>;
}

/** What the hand sorts say about one class. */
export interface LearnedClass {
	readonly name: MaterialClass;
	/** Mass per area after the checks over that before them, with its range after. */
	readonly factor: Estimate;
	/** Relative standard uncertainty of the mass per area before and after. */
	readonly relativeU: { readonly before: number; readonly after: number };
	/** Grams per mm2 on the sorted spreads, weighed over seen. */
	readonly gramsPerMm2: number;
}

/** How far a weighed pile lies from what all other knowledge (other sorts, starting values) leads to expect. */
export interface Contradiction {
	readonly label: string;
	readonly name: MaterialClass;
	readonly weighedG: number;
	readonly expectedG: number;
	readonly standardDeviations: number;
}

/** Beyond this many standard deviations a pile is told to contradict the rest (one in 370 by chance). */
const CONTRADICTS_AT = 3;

/**
 * Scatter of a pile's mass about what its own picture predicts, that no other cause explains: single pieces 12.8 %, sums of a
 * kind 2.7 %.
 *
 * @source 288 weighed views of real objects, measured for this project (methods notes, no publication)
 */
export const [PIECE_SCATTER, SUM_SCATTER] = [0.128, 0.027];

/** A mass per area that is known better than this has not been drawn at all. */
const LEAST_RELATIVE_U = 1e-6;

interface Observation {
	readonly spread: SortedSpread;
	readonly name: MaterialClass;
	/** Logarithm of the grams weighed. */
	readonly weighed: number;
	/** Draws of the logarithm of the grams the picture leads to expect: all errors but sampling, since the very pieces were weighed. */
	readonly expected: Float64Array;
	readonly variance: number;
}

/**
 * Let hand sorts correct the mass per area of the material's classes: a Bayesian update in which the weighed side has its
 * weighing error and the picture side all its own errors.
 *
 * Works on the draws themselves. Each weighed pile is compared with what draw i of the shared errors expects of that very
 * picture (same densities, shapes, class confusion, overlap), and each draw is moved by the linear regression on these
 * differences (ensemble Kalman update with perturbed observations). So the factors stay correlated with the class confusion that
 * the checks also felt, products like the checked ones gain most, and a second check counts as much as it adds.
 *
 * What is called wrongly scatters from scene to scene. Sorts of other runs felt another scene's errors, and must not take this one's off; they
 * count as of one scene together, since nothing tells which of them were.
 *
 * @returns the shared errors with `massFactor` filled in, what was learnt, every pile's distance from the rest, piles that tell nothing,
 *   and sorts that tell no grade
 * @source Evensen, J. Geophys. Res. 99 (1994) 10143; perturbed observations: Burgers et al., Mon. Weather Rev. 126 (1998) 1719
 *   (from memory)
 */
export function learnMassPerArea(
	shared: SharedErrors,
	material: Material,
	sorted: readonly SortedSpread[],
): {
	readonly shared: SharedErrors;
	readonly learned: readonly LearnedClass[];
	readonly piles: readonly Contradiction[];
	readonly idle: readonly IdlePile[];
	readonly partial: readonly PartialSort[];
} {
	const elsewhere = inOtherScene(shared);
	const told = sorted.map((spread, s) =>
		observationsOf(spread, String(s), material, spread.isOfOtherScene ? elsewhere : shared),
	);
	const observations = told.flatMap(({ telling }) => telling);
	const idle = told.flatMap((one) => one.idle);
	const partial = told.flatMap((one) => one.partial);
	if (observations.length === 0) return { shared, learned: [], piles: [], idle, partial };
	const state = perClass((name) => stateOf(name, sorted, material, shared));
	const moved = perClass((name) => movedBy(state[name], observations, shared));
	const massFactor = perClass((name) => shared.massFactor[name].map((factor, i) => factor * Math.exp(moved[name][i]!)));
	return {
		shared: { ...shared, massFactor },
		learned: MATERIAL_CLASSES.flatMap((name) => {
			const own = observations.filter((observation) => observation.name === name);
			if (own.length === 0) return [];
			const after = state[name].map((value, i) => value + moved[name][i]!);
			const before = meanOf(state[name]);
			const factor = estimateOf(after.map((value) => Math.exp(value - before)));
			const areaMm2 = own.reduce((sum, { spread }) => sum + seenMm2(spread.reading, name), 0);
			const grams = own.reduce((sum, { weighed }) => sum + Math.exp(weighed), 0);
			const relativeU = {
				before: Math.sqrt(covarianceOf(state[name], state[name])),
				after: Math.sqrt(covarianceOf(after, after)),
			};
			// where the pictures hold none of a class once wrong calls are taken off, its pile has nothing to be set against
			if (relativeU.before < LEAST_RELATIVE_U) return [];
			return [{ name, factor, relativeU, gramsPerMm2: grams / Math.max(areaMm2, 1e-9) }];
		}),
		piles: observations.map((observation) => distanceOf(observation, observations, shared)),
		idle,
		partial,
	};
}

/**
 * The pile that contradicts the rest, where one does: the farthest beyond three standard deviations.
 *
 * Only the farthest is named, since a wrong pile drags the others' expectation with it; mend it and look again.
 */
export function contradictionOf(piles: readonly Contradiction[]): Contradiction | undefined {
	const size = ({ standardDeviations }: Contradiction) => Math.abs(standardDeviations);
	return piles.filter((pile) => size(pile) > CONTRADICTS_AT).sort((a, b) => size(b) - size(a))[0];
}

function observationsOf(
	spread: SortedSpread,
	purpose: string,
	material: Material,
	shared: SharedErrors,
): {
	readonly telling: readonly Observation[];
	readonly idle: readonly IdlePile[];
	readonly partial: readonly PartialSort[];
} {
	const { massG } = drawSpread(spread.reading, material, holdStill(shared, ['sampling']), ['hand sort', purpose]);
	const falseCallsMm2 = falseCallsOf(spread.reading, shared);
	const telling: Observation[] = [];
	const idle: IdlePile[] = [];
	for (const name of MATERIAL_CLASSES) {
		const pile = spread.check.piles[name];
		if (pile === undefined || pile.massG <= 0) continue;
		const why = whyIdle(pile, name, spread.reading, falseCallsMm2[name]);
		if (why !== undefined) {
			idle.push({ label: spread.label, name, weighedG: pile.massG, why });
			continue;
		}
		telling.push({
			spread,
			name,
			weighed: Math.log(pile.massG),
			expected: massG[name].map((grams) => Math.log(Math.max(grams, 1e-9))),
			variance:
				(weighingU(pile) / pile.massG) ** 2 + PIECE_SCATTER ** 2 / spread.reading.pieces[name].count + SUM_SCATTER ** 2,
		});
	}
	const { label, check } = spread;
	const unweighed = unweighedPiles(check, spread.reading, falseCallsMm2);
	return { telling, idle, partial: unweighed.length === 0 ? [] : [{ label, check, unweighed }] };
}

/** Draws of the logarithm of a class's mass per area on the sorted spreads: breadth, shape, sheet and density alone. */
function stateOf(
	name: MaterialClass,
	sorted: readonly SortedSpread[],
	material: Material,
	shared: SharedErrors,
): Float64Array {
	const still = holdStill(shared, ['sampling', 'confusion', 'overlap', 'unjudged']);
	const grams = new Float64Array(shared.draws);
	for (const { reading } of sorted) {
		const { massG } = drawSpread(reading, material, still, ['hand sort']);
		for (let i = 0; i < grams.length; i++) grams[i] = grams[i]! + massG[name][i]!;
	}
	return grams.map((value) => Math.log(Math.max(value, 1e-12)));
}

/** Regression of draws on observations: by how much each draw moves. */
function movedBy(state: Float64Array, observations: readonly Observation[], { seed }: SharedErrors): Float64Array {
	const moved = new Float64Array(state.length);
	if (observations.length === 0) return moved;
	const spread = new Matrix(
		observations.map((a, row) =>
			observations.map((b, column) => covarianceOf(a.expected, b.expected) + (row === column ? a.variance : 0)),
		),
	);
	const cross = new Matrix([observations.map(({ expected }) => covarianceOf(state, expected))]);
	const gain = cross.mmul(pseudoInverse(spread)).to1DArray();
	observations.forEach(({ weighed, expected, variance, name, spread: { label, drawnAs } }, o) => {
		// the same perturbation whenever this pile is used, so that leaving one out changes nothing else
		const random = seededRandom(seed, 'pile', drawnAs ?? label, name);
		for (let i = 0; i < moved.length; i++) {
			moved[i] = moved[i]! + gain[o]! * (weighed + Math.sqrt(variance) * random.normal() - expected[i]!);
		}
	});
	return moved;
}

/** A pile against what the piles of the other spreads and the starting values lead to expect. */
function distanceOf(own: Observation, all: readonly Observation[], shared: SharedErrors): Contradiction {
	const others = all.filter(({ spread }) => spread !== own.spread);
	const moved = movedBy(own.expected, others, shared);
	const expected = own.expected.map((value, i) => value + moved[i]!);
	const mean = meanOf(expected);
	const variance = covarianceOf(expected, expected) + own.variance;
	return {
		label: own.spread.label,
		name: own.name,
		weighedG: Math.exp(own.weighed),
		expectedG: Math.exp(mean),
		standardDeviations: (own.weighed - mean) / Math.sqrt(variance),
	};
}

function seenMm2(reading: SpreadReading, name: MaterialClass): number {
	return reading.blocks.reduce((sum, block) => sum + block.areaMm2[name], 0);
}

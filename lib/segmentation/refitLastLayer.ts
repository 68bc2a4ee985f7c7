import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { TAUGHT_CLASSES, type TaughtSpot } from '../material/taughtSpot';
import { covarianceOf, meanOf } from '../quantity/moments';
import type { ModelHead } from './pixelModel';

/** What a refit found, with what it rests on. */
export interface Refit {
	readonly head: ModelHead;
	/** Mean log score (nats a spot) of spots left out, before and after: the refit is only taken where it is better. */
	readonly before: number;
	readonly after: number;
}

const CLASSES = TAUGHT_CLASSES.length;
/** Fewest spots to be told apart by leaving some out. */
const FEWEST_SPOTS = 6;
const FOLDS = 6;
/** Pull towards the model's own last layer, in spots; tried from strong to weak, chosen by cross-validation over spots. */
const PULLS = [100, 30, 10, 3, 1, 0.3] as const;
/** Descent steps: each is a bounded Newton step, so the loss never rises; at weak pulls more would not be needed to rank them. */
const STEPS = 120;
/** Log score that an untaught class counts with: hardly there. */
const UNTAUGHT = 0.5;
/** A gain counts from so many of its standard errors on (two is one chance in forty), and of two pulls the stronger is taken that is worse by less than one (a common rule). */
const [CLEAR, ALIKE] = [2, 1] as const;

/**
 * Fit the model's last layer anew to taught spots: multinomial logistic regression, pulled towards the layer as it is.
 *
 * Spots come as often as the user taps them, not as often as classes lie on the tray, so scores are shifted by the log of taps
 * over the model's class shares while fitting; the fitted layer keeps the model's own calibration. Taps lie on the middles of pieces and say
 * nothing of rims, strands and shadows, so what lies about a spot counts as much as the spot, for what the layer as it is makes of it: without that, four right taps a
 * class made copper's share of pieces 0.32 of 0.06 on one of twenty rendered trays, and ranges of 7 missed the truth that all had held. The pull is chosen by
 * leaving whole spots out, and so is whether anything is changed at all.
 *
 * @param prior - class shares the model is calibrated to
 * @returns undefined with fewer than six spots or two classes that have features, where the layer calls all spots rightly, or where no refit clearly foretells spots left out better
 * @source step bounded as in D. Boehning, Ann. Inst. Stat. Math. 44 (1992) 197; shift for choice-based samples: C. Manski,
 *   S. Lerman, Econometrica 45 (1977) 1977; rule of one standard error: Hastie, Tibshirani and Friedman, The Elements of Statistical Learning (2009) 7.10;
 *   keeping a network's answers while it learns: Z. Li, D. Hoiem, ECCV (2016) (all from memory)
 */
export function refitLastLayer(
	head: ModelHead,
	prior: readonly number[],
	spots: readonly TaughtSpot[],
): Refit | undefined {
	const own = asMatrix(head);
	const lessons = lessonsOf(spots, own);
	const kinds = new Set(lessons.map(({ code }) => code));
	if (lessons.length < FEWEST_SPOTS || kinds.size < 2) return undefined;
	const shift = shiftOf(lessons, prior);
	const scales = scalesOf(lessons);
	if (lessons.every((lesson) => isCalledRightly(lesson, own, shift))) return undefined;
	const before = scoresOf(lessons, own, shift);
	const tried = PULLS.map((pull) => ({ pull, scores: scoresLeftOut(lessons, own, shift, scales, pull) }));
	const best = tried.reduce((one, other) => (meanOf(other.scores) > meanOf(one.scores) ? other : one));
	if (!(surplusOf(best.scores, before) > CLEAR)) return undefined;
	const chosen = tried.find(({ scores }) => surplusOf(best.scores, scores) <= ALIKE) ?? best;
	const fitted = fittedTo(lessons, own, shift, scales, chosen.pull);
	return { head: asHead(fitted), before: meanOf(before), after: meanOf(chosen.scores) };
}

/** Log scores of spots, each foretold by a layer that was fitted without it. */
function scoresLeftOut(
	lessons: readonly Lesson[],
	own: Float64Array,
	shift: Float64Array,
	scales: Float64Array,
	pull: number,
): readonly number[] {
	const scores: number[] = [];
	for (let fold = 0; fold < FOLDS; fold++) {
		const kept = lessons.filter((_, k) => k % FOLDS !== fold);
		const out = [...lessons.keys()].filter((k) => k % FOLDS === fold);
		if (out.length === 0) continue;
		const fitted = fittedTo(kept, own, shift, scales, pull);
		const found = scoresOf(
			out.map((k) => lessons[k]!),
			fitted,
			shift,
		);
		for (const [i, k] of out.entries()) scores[k] = found[i]!;
	}
	return scores;
}

/** How far the mean of some scores lies above that of others of the same spots, in standard errors; 0 where they are alike. */
function surplusOf(scores: readonly number[], others: readonly number[]): number {
	const more = scores.map((score, k) => score - others[k]!);
	const error = Math.sqrt(covarianceOf(more, more) / more.length);
	return error > 0 ? meanOf(more) / error : 0;
}

/** What lies about spots was not chosen, so its scores are not shifted. */
const NO_SHIFT = new Float64Array(CLASSES);

/** A spot's feature vectors, each with a 1 behind it for the bias. */
interface Lesson {
	readonly code: number;
	readonly vectors: readonly Float64Array[];
	/** What lies about the spot, with the class probabilities that the layer as it is gives it. */
	readonly beside: readonly { readonly vector: Float64Array; readonly kept: Float64Array }[];
}

function lessonsOf(spots: readonly TaughtSpot[], own: Float64Array): Lesson[] {
	const many = own.length / CLASSES - 1;
	const isWhole = (vector: readonly number[]) => vector.length === many;
	const withOne = (vector: readonly number[]) => Float64Array.of(...vector, 1);
	const keptOf = (vector: Float64Array) => {
		const kept = new Float64Array(CLASSES);
		probabilities(vector, own, NO_SHIFT, kept);
		return { vector, kept };
	};
	const ordered = spots.filter(({ features }) => features !== undefined && features.length > 0);
	// by class, so that folds taken in turn hold every class
	return TAUGHT_CLASSES.flatMap((kind, code) =>
		ordered
			.filter((spot) => spot.class === kind && spot.features!.every(isWhole))
			.map((spot) => ({
				code,
				vectors: spot.features!.map(withOne),
				beside: (spot.beside ?? []).filter(isWhole).map((vector) => keptOf(withOne(vector))),
			})),
	);
}

/** Log of each class's share among the taps over its share in the model's calibration. */
function shiftOf(lessons: readonly Lesson[], prior: readonly number[]): Float64Array {
	const taps = new Float64Array(CLASSES).fill(UNTAUGHT);
	for (const { code } of lessons) taps[code]! += 1;
	const all = taps.reduce((sum, some) => sum + some, 0);
	return taps.map((some, code) => Math.log(some / all / prior[code]!));
}

/** Mean square of every input, so that the pull does not hang on how large a feature is. */
function scalesOf(lessons: readonly Lesson[]): Float64Array {
	const vectors = lessons.flatMap((lesson) => lesson.vectors);
	return Float64Array.from(
		vectors[0]!,
		(_, k) => vectors.reduce((sum, vector) => sum + vector[k]! ** 2, 0) / vectors.length + 1e-6,
	);
}

/** Weights with the bias as their last row: inputs x classes. */
function asMatrix({ weights, bias }: ModelHead): Float64Array {
	return Float64Array.of(...weights, ...bias);
}

function asHead(matrix: Float64Array): ModelHead {
	const cut = matrix.length - CLASSES;
	return { weights: Float32Array.from(matrix.subarray(0, cut)), bias: Float32Array.from(matrix.subarray(cut)) };
}

function fittedTo(
	lessons: readonly Lesson[],
	own: Float64Array,
	shift: Float64Array,
	scales: Float64Array,
	pull: number,
): Float64Array {
	const inputs = scales.length;
	const bound = new Float64Array(inputs * inputs);
	const bind = (vector: Float64Array, weight: number) => {
		// the product first, so that the matrix is the same across its diagonal to the last bit
		for (let i = 0; i < inputs; i++)
			for (let j = 0; j < inputs; j++) bound[i * inputs + j]! += 0.5 * weight * (vector[i]! * vector[j]!);
	};
	// Hot loops, here and in the steps below.
	for (const { vectors, beside } of lessons) {
		for (const vector of vectors) bind(vector, 1 / vectors.length);
		for (const { vector } of beside) bind(vector, 1 / beside.length);
	}
	for (let i = 0; i < inputs; i++) bound[i * (inputs + 1)]! += pull * scales[i]!;
	const solver = new CholeskyDecomposition(Matrix.from1DArray(inputs, inputs, bound));
	const matrix = Float64Array.from(own);
	const gradient = new Float64Array(matrix.length);
	const p = new Float64Array(CLASSES);
	for (let step = 0; step < STEPS; step++) {
		for (let at = 0; at < gradient.length; at++) {
			gradient[at] = pull * scales[Math.floor(at / CLASSES)]! * (own[at]! - matrix[at]!);
		}
		for (const { code, vectors, beside } of lessons) {
			for (const vector of vectors) {
				probabilities(vector, matrix, shift, p);
				for (let c = 0; c < CLASSES; c++) p[c] = ((c === code ? 1 : 0) - p[c]!) / vectors.length;
				addProducts(gradient, vector, p);
			}
			for (const { vector, kept } of beside) {
				probabilities(vector, matrix, NO_SHIFT, p);
				for (let c = 0; c < CLASSES; c++) p[c] = (kept[c]! - p[c]!) / beside.length;
				addProducts(gradient, vector, p);
			}
		}
		const move = solver.solve(Matrix.from1DArray(inputs, CLASSES, gradient)).to1DArray();
		for (let at = 0; at < matrix.length; at++) matrix[at]! += move[at]!;
	}
	return matrix;
}

function addProducts(into: Float64Array, vector: Float64Array, off: Float64Array): void {
	for (let i = 0; i < vector.length; i++)
		for (let c = 0; c < CLASSES; c++) into[i * CLASSES + c]! += off[c]! * vector[i]!;
}

/** Whether most of a spot goes to the class that it was said to be. */
function isCalledRightly({ code, vectors }: Lesson, matrix: Float64Array, shift: Float64Array): boolean {
	const p = new Float64Array(CLASSES);
	const right = vectors.filter((vector) => {
		probabilities(vector, matrix, shift, p);
		return p.every((share) => share <= p[code]!);
	});
	return 2 * right.length > vectors.length;
}

/** Log score of each spot: the mean over its vectors. */
function scoresOf(lessons: readonly Lesson[], matrix: Float64Array, shift: Float64Array): number[] {
	const p = new Float64Array(CLASSES);
	return lessons.map(({ code, vectors }) =>
		vectors.reduce((sum, vector) => {
			probabilities(vector, matrix, shift, p);
			return sum + Math.log(Math.max(1e-12, p[code]!)) / vectors.length;
		}, 0),
	);
}

/** Class probabilities of one feature vector under shifted scores. */
function probabilities(vector: Float64Array, matrix: Float64Array, shift: Float64Array, into: Float64Array): void {
	let most = Number.NEGATIVE_INFINITY;
	for (let c = 0; c < CLASSES; c++) {
		let score = shift[c]!;
		for (let i = 0; i < vector.length; i++) score += vector[i]! * matrix[i * CLASSES + c]!;
		into[c] = score;
		if (score > most) most = score;
	}
	let sum = 0;
	for (let c = 0; c < CLASSES; c++) {
		into[c] = Math.exp(into[c]! - most);
		sum += into[c]!;
	}
	for (let c = 0; c < CLASSES; c++) into[c]! /= sum;
}

import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { TAUGHT_CLASSES, type TaughtSpot } from '../material/taughtSpot';
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

/**
 * Fit the model's last layer anew to taught spots: multinomial logistic regression, pulled towards the layer as it is.
 *
 * Spots come as often as the user taps them, not as often as classes lie on the tray, so scores are shifted by the log of taps
 * over the model's class shares while fitting; the fitted layer keeps the model's own calibration. The pull is chosen by leaving
 * whole spots out, and so is whether anything is changed at all.
 *
 * @param prior - class shares the model is calibrated to
 * @returns undefined with fewer than six spots or two classes that have features, or where no refit foretells spots left out better
 * @source step bounded as in D. Boehning, Ann. Inst. Stat. Math. 44 (1992) 197; shift for choice-based samples: C. Manski,
 *   S. Lerman, Econometrica 45 (1977) 1977 (from memory)
 */
export function refitLastLayer(
	head: ModelHead,
	prior: readonly number[],
	spots: readonly TaughtSpot[],
): Refit | undefined {
	const lessons = lessonsOf(spots, head.weights.length / CLASSES);
	const kinds = new Set(lessons.map(({ code }) => code));
	if (lessons.length < FEWEST_SPOTS || kinds.size < 2) return undefined;
	const shift = shiftOf(lessons, prior);
	const own = asMatrix(head);
	const scales = scalesOf(lessons);
	let best = { pull: Number.POSITIVE_INFINITY, score: meanScore(lessons, own, shift) };
	const before = best.score;
	for (const pull of PULLS) {
		let sum = 0;
		for (let fold = 0; fold < FOLDS; fold++) {
			const kept = lessons.filter((_, k) => k % FOLDS !== fold);
			const out = lessons.filter((_, k) => k % FOLDS === fold);
			if (out.length > 0) sum += out.length * meanScore(out, fittedTo(kept, own, shift, scales, pull), shift);
		}
		if (sum / lessons.length > best.score) best = { pull, score: sum / lessons.length };
	}
	if (!Number.isFinite(best.pull)) return undefined;
	return { head: asHead(fittedTo(lessons, own, shift, scales, best.pull)), before, after: best.score };
}

/** A spot's feature vectors, each with a 1 behind it for the bias. */
interface Lesson {
	readonly code: number;
	readonly vectors: readonly Float64Array[];
}

function lessonsOf(spots: readonly TaughtSpot[], many: number): Lesson[] {
	const ordered = spots.filter(({ features }) => features !== undefined && features.length > 0);
	// by class, so that folds taken in turn hold every class
	return TAUGHT_CLASSES.flatMap((kind, code) =>
		ordered
			.filter((spot) => spot.class === kind && spot.features!.every((vector) => vector.length === many))
			.map((spot) => ({ code, vectors: spot.features!.map((vector) => Float64Array.of(...vector, 1)) })),
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
	// Hot loops, here and in the steps below.
	for (const { vectors } of lessons) {
		for (const vector of vectors) {
			for (let i = 0; i < inputs; i++) {
				const times = (0.5 * vector[i]!) / vectors.length;
				for (let j = 0; j < inputs; j++) bound[i * inputs + j]! += times * vector[j]!;
			}
		}
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
		for (const { code, vectors } of lessons) {
			for (const vector of vectors) {
				probabilities(vector, matrix, shift, p);
				for (let c = 0; c < CLASSES; c++) {
					const off = ((c === code ? 1 : 0) - p[c]!) / vectors.length;
					for (let i = 0; i < inputs; i++) gradient[i * CLASSES + c]! += off * vector[i]!;
				}
			}
		}
		const move = solver.solve(Matrix.from1DArray(inputs, CLASSES, gradient)).to1DArray();
		for (let at = 0; at < matrix.length; at++) matrix[at]! += move[at]!;
	}
	return matrix;
}

function meanScore(lessons: readonly Lesson[], matrix: Float64Array, shift: Float64Array): number {
	const p = new Float64Array(CLASSES);
	const scores = lessons.map(({ code, vectors }) =>
		vectors.reduce((sum, vector) => {
			probabilities(vector, matrix, shift, p);
			return sum + Math.log(Math.max(1e-12, p[code]!)) / vectors.length;
		}, 0),
	);
	return scores.reduce((sum, score) => sum + score, 0) / scores.length;
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

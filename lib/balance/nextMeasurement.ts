import type { ErrorRatesByKind } from '../grade/errorRates';
import type { Material } from '../material/material';
import { estimateOf } from '../quantity/estimateOf';
import type { Estimate } from '../quantity/quantity';
import type { Budget } from './budget';
import type { GradedRun, WorkedOutRun } from './gradedRun';
import { workOutRun } from './gradedRun';
import { ACTIONS, type Action, afterAction } from './trialCheck';

/** An action with what it is expected to make of a figure. */
export interface NextMeasurement {
	readonly action: Action;
	/** The product that it is done on. */
	readonly product: string;
	/** Width of the range after over width before, 0 to 1. */
	readonly widthRatio: number;
	readonly expected: Estimate;
}

/** A run as it would stand after one action on one product. */
export interface Trial {
	readonly action: Action;
	readonly productId: string;
	readonly product: string;
	readonly worked: WorkedOutRun;
}

/**
 * The run worked out once for every action on every product, as if the action had found what is expected today.
 *
 * So the expected range comes from the very update that the action would bring: a sort moves the draws of the mass per area, a
 * strip those of the locked copper, a blank the rates of false calls, a spread and a weight their own errors.
 *
 * @param run - its checks in place (`withChecksInPlace`)
 * @param today - the run worked out as it stands, with the same draws and seed
 */
export function trialsOf(
	run: GradedRun,
	today: WorkedOutRun,
	material: Material,
	errorRates: ErrorRatesByKind,
	options: { readonly draws: number; readonly seed?: number },
): readonly Trial[] {
	return run.products.flatMap((product) =>
		ACTIONS.flatMap((action): Trial[] => {
			const after = afterAction(run, product, action, today, material, errorRates);
			if (after === undefined) return [];
			const worked = workOutRun(after, material, errorRates, options);
			return [{ action, productId: product.id, product: product.name, worked }];
		}),
	);
}

/** Ratios above this are noise: the action narrows nothing. */
const NARROWS = 0.99;

/**
 * What each action would make of a figure, the best first; actions that narrow nothing are left out, and of one action only the
 * product where it does most is told.
 *
 * The expected range is today's, shrunk about the best value; where the value will lie nobody knows before.
 *
 * @param drawsOf - the figure's draws in a worked-out run
 */
export function nextMeasurements(
	{ figure }: Pick<Budget, 'figure'>,
	today: WorkedOutRun,
	trials: readonly Trial[],
	drawsOf: (worked: WorkedOutRun) => Float64Array | undefined,
): readonly NextMeasurement[] {
	const before = widthOf(drawsOf(today));
	if (!(before > 0)) return [];
	const each = trials
		.map(({ action, product, worked }) => {
			const widthRatio = widthOf(drawsOf(worked)) / before;
			return { action, product, widthRatio, expected: shrunk(figure, widthRatio) };
		})
		.filter(({ widthRatio }) => widthRatio > 0 && widthRatio < NARROWS)
		.sort((a, b) => a.widthRatio - b.widthRatio);
	return each.filter(({ action }, k) => each.findIndex((other) => other.action === action) === k);
}

function widthOf(draws: Float64Array | undefined): number {
	const finite = (draws ?? new Float64Array()).filter(Number.isFinite);
	if (finite.length < 2) return 0;
	const { low, high } = estimateOf(finite);
	return high - low;
}

function shrunk(figure: Estimate, ratio: number): Estimate {
	const { value, low, high } = figure;
	return { ...figure, low: value - ratio * (value - low), high: value + ratio * (high - value) };
}

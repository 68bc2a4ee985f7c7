import { coverageEllipseOf } from '../balance/compareEllipse';
import { type ComparableRun, gradeAndRecoveryOf } from '../balance/compareRuns';
import { loweredDraws, raisedDraws } from '../balance/detectionCeiling';
import type { ProductRole } from '../material/classes';
import type { Estimate } from '../quantity/quantity';

/** A point of the plot, both shares 0 to 1. */
export interface PlotPoint {
	readonly grade: number;
	readonly recovery: number;
}

/** A line of recoveries that bring the same money at other grades, through one run's point. */
export interface EqualValueLine {
	readonly run: string;
	readonly points: readonly PlotPoint[];
}

/** One run's concentrates together, the region that holds them, and its products poured together one after the other. */
export interface PlottedRun {
	readonly name: string;
	readonly grade: Estimate;
	readonly recovery: Estimate;
	/** Closed outline of the 95 % region: an ellipse, or what holds those of all that limits of detection leave open. */
	readonly region: readonly PlotPoint[];
	/** Nothing but a limit is known of the grade or the recovery: there is a region and no point. */
	readonly isLimit: boolean;
	/** First product alone, then with the second, and so on, richest first; the name is the product added, which may be below detection. */
	readonly together: readonly (PlotPoint & {
		readonly name: string;
		readonly role: ProductRole;
		readonly isBelow: boolean;
	})[];
}

/** Recovery against grade for several runs, ready to be drawn. */
export interface GradeRecoveryPlot {
	readonly runs: readonly PlottedRun[];
	readonly gradeRange: readonly [number, number];
	readonly recoveryRange: readonly [number, number];
	readonly equalValue: readonly EqualValueLine[];
	/** Runs that can't be drawn: their recovery or grade is not known. */
	readonly notDrawn: readonly string[];
}

const OUTLINE_POINTS = 48;

/**
 * Lay out recovery of copper against its grade.
 *
 * @param equalRecovery - recovery that brings the same money at another grade, for a run's grade and recovery; left out
 *   where there are no prices
 */
export function gradeRecoveryPlotOf(
	runs: readonly ComparableRun[],
	equalRecovery?: (point: PlotPoint, grade: number) => number,
): GradeRecoveryPlot {
	const plotted = runs.flatMap((run) => plottedRunOf(run) ?? []);
	// middlings and tailings poured in lie far off to the left; their line may leave the field
	const points = plotted.flatMap(({ region, together }) => [
		...region,
		...together.filter(({ role }) => role === 'concentrate'),
	]);
	const gradeRange = rangeOf(points.map(({ grade }) => grade));
	return {
		runs: plotted,
		gradeRange,
		recoveryRange: rangeOf(points.map(({ recovery }) => recovery)),
		equalValue:
			equalRecovery === undefined
				? []
				: plotted
						.filter(({ isLimit }) => !isLimit)
						.map(({ name, grade, recovery }) => ({
							run: name,
							points: Array.from({ length: 21 }, (_, i) => {
								const at = Math.max(0.01, gradeRange[0] + ((gradeRange[1] - gradeRange[0]) * i) / 20);
								return { grade: at, recovery: equalRecovery({ grade: grade.value, recovery: recovery.value }, at) };
							}).filter((point) => Number.isFinite(point.recovery)),
						})),
		notDrawn: runs.filter(({ name }) => !plotted.some((one) => one.name === name)).map(({ name }) => name),
	};
}

function plottedRunOf(run: ComparableRun): PlottedRun | undefined {
	const { massFraction, recovery: recovered } = run.account.together.concentrate ?? {};
	const [grade, recovery] = [massFraction?.copper, recovered?.copper];
	if (grade === undefined || recovery === undefined) return undefined;
	const others =
		run.account.feed.gradeOrigin === 'measured'
			? run.draws
			: raisedDraws(run, ({ role }) => role !== 'concentrate', ['copper']);
	const own = raisedDraws(run, ({ role }) => role === 'concentrate', ['copper']);
	const worlds = new Set([run.draws, own, others, loweredDraws(run)]);
	const isLimit = grade.belowDetectionLimit === true || recovery.belowDetectionLimit === true;
	const nothing = isLimit ? [{ grade: grade.low, recovery: recovery.low }] : [];
	const region = hullOf([...nothing, ...[...worlds].flatMap((draws) => ellipseOf({ ...run, draws }))]);
	return { name: run.name, grade, recovery, region, isLimit, together: pouredTogether(run) };
}

function ellipseOf(run: ComparableRun): readonly PlotPoint[] {
	const drawn = gradeAndRecoveryOf(run, 'copper');
	if (drawn === undefined) return [];
	const { x, y, halfAxes, angle } = coverageEllipseOf(drawn.grade.draws, drawn.recovery.draws);
	const [c, s] = [Math.cos(angle), Math.sin(angle)];
	return Array.from({ length: OUTLINE_POINTS }, (_, i) => {
		const turn = (2 * Math.PI * i) / OUTLINE_POINTS;
		const [a, b] = [halfAxes[0] * Math.cos(turn), halfAxes[1] * Math.sin(turn)];
		// shares can't leave 0 to 1, the ellipse of a normal distribution can
		return { grade: asShare(x + c * a - s * b), recovery: asShare(y + s * a + c * b) };
	});
}

/** The smallest outline without a dent round points. @source Andrew, Information Processing Letters 9 (1979) 216 (monotone chain) */
function hullOf(points: readonly PlotPoint[]): readonly PlotPoint[] {
	const sorted = points.toSorted((a, b) => a.grade - b.grade || a.recovery - b.recovery);
	const half = (along: readonly PlotPoint[]) => {
		const kept: PlotPoint[] = [];
		for (const point of along) {
			while (kept.length > 1 && !turnsLeft(kept.at(-2)!, kept.at(-1)!, point)) kept.pop();
			kept.push(point);
		}
		return kept.slice(0, -1);
	};
	return [...half(sorted), ...half(sorted.toReversed())];
}

function turnsLeft(a: PlotPoint, b: PlotPoint, c: PlotPoint): boolean {
	return (b.grade - a.grade) * (c.recovery - a.recovery) > (b.recovery - a.recovery) * (c.grade - a.grade);
}

function pouredTogether({ account, draws }: ComparableRun): PlottedRun['together'] {
	const feedKg = draws.feed.contentKg.copper?.value;
	const streams = account.products.flatMap(({ id, name, role, massFraction }) => {
		const { massKg, contentKg } = draws.products[id]!;
		const [mass, copper] = [massKg?.value, contentKg.copper?.value];
		const isBelow = massFraction.reconciled.copper?.belowDetectionLimit === true;
		return mass === undefined || copper === undefined || !(mass > 0) ? [] : [{ name, role, mass, copper, isBelow }];
	});
	if (feedKg === undefined || !(feedKg > 0)) return [];
	streams.sort((a, b) => b.copper / b.mass - a.copper / a.mass);
	let [mass, copper] = [0, 0];
	return streams.map(({ name, role, isBelow, ...stream }) => {
		mass += stream.mass;
		copper += stream.copper;
		return { name, role, isBelow, grade: copper / mass, recovery: copper / feedKg };
	});
}

/** A little more than the values span, at least two points wide, within 0 to 1. */
function rangeOf(values: readonly number[]): readonly [number, number] {
	if (values.length === 0) return [0, 1];
	const [low, high] = [Math.min(...values), Math.max(...values)];
	const room = Math.max(0.01, 0.06 * (high - low));
	return [Math.max(0, low - room), Math.min(1, high + room)];
}

function asShare(value: number): number {
	return Math.min(1, Math.max(0, value));
}

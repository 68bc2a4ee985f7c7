import { coverageEllipseOf } from '../balance/compareEllipse';
import { type ComparableRun, gradeAndRecoveryOf } from '../balance/compareRuns';
import { estimateOfDrawn } from '../balance/drawn';
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
	/** Closed outline of the 95 % ellipse. */
	readonly ellipse: readonly PlotPoint[];
	/** First product alone, then with the second, and so on, richest first; the name is the product added. */
	readonly together: readonly (PlotPoint & { readonly name: string; readonly role: ProductRole })[];
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
	const points = plotted.flatMap(({ ellipse, together }) => [
		...ellipse,
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
				: plotted.map(({ name, grade, recovery }) => ({
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
	const drawn = gradeAndRecoveryOf(run, 'copper');
	const grade = estimateOfDrawn(drawn?.grade);
	const recovery = estimateOfDrawn(drawn?.recovery);
	if (drawn === undefined || grade === undefined || recovery === undefined) return undefined;
	const { x, y, halfAxes, angle } = coverageEllipseOf(drawn.grade.draws, drawn.recovery.draws);
	const [c, s] = [Math.cos(angle), Math.sin(angle)];
	const ellipse = Array.from({ length: OUTLINE_POINTS }, (_, i) => {
		const turn = (2 * Math.PI * i) / OUTLINE_POINTS;
		const [a, b] = [halfAxes[0] * Math.cos(turn), halfAxes[1] * Math.sin(turn)];
		// shares can't leave 0 to 1, the ellipse of a normal distribution can
		return { grade: asShare(x + c * a - s * b), recovery: asShare(y + s * a + c * b) };
	});
	return { name: run.name, grade, recovery, ellipse, together: pouredTogether(run) };
}

function pouredTogether({ account, draws }: ComparableRun): PlottedRun['together'] {
	const feedKg = draws.feed.contentKg.copper?.value;
	const streams = account.products.flatMap(({ id, name, role }) => {
		const { massKg, contentKg } = draws.products[id]!;
		const [mass, copper] = [massKg?.value, contentKg.copper?.value];
		return mass === undefined || copper === undefined || !(mass > 0) ? [] : [{ name, role, mass, copper }];
	});
	if (feedKg === undefined || !(feedKg > 0)) return [];
	streams.sort((a, b) => b.copper / b.mass - a.copper / a.mass);
	let [mass, copper] = [0, 0];
	return streams.map((stream) => {
		mass += stream.mass;
		copper += stream.copper;
		return { name: stream.name, role: stream.role, grade: copper / mass, recovery: copper / feedKg };
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

import { scaleLinear } from 'd3-scale';
import { printPercent } from '@/lib/report/format';
import type { GradeRecoveryPlot, PlotPoint } from '@/lib/report/gradeRecoveryPlot';

const [WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM] = [360, 310, 48, 26, 24, 42] as const;

/** How far from its point a run's number stands. */
const LABEL_REACH = 15;

/** Line styles tell runs apart without colour; the number stands at each run's point. */
const DASHES = ['', '7 3', '2 2', '8 3 2 3', '1 3'] as const;

/** Recovery of copper against its grade: a numbered point and a 95 % region for each run, its products as a line. */
export function GradeRecoveryPicture({ plot }: { readonly plot: GradeRecoveryPlot }) {
	const x = scaleLinear([...plot.gradeRange], [LEFT, WIDTH - RIGHT]);
	const y = scaleLinear([...plot.recoveryRange], [HEIGHT - BOTTOM, TOP]);
	const path = (points: readonly PlotPoint[], end = '') =>
		points
			.map(({ grade, recovery }, i) => `${i === 0 ? 'M' : 'L'}${x(grade).toFixed(1)} ${y(recovery).toFixed(1)}`)
			.join('') + end;
	const isAnyBelow = plot.runs.some(({ isLimit, together }) => isLimit || together.some(({ isBelow }) => isBelow));
	const points = plot.runs.map(({ grade, recovery }): Place => [x(grade.value), y(recovery.value)]);
	return (
		<>
			<svg
				className="run-plot"
				viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
				role="img"
				aria-label="Copper recovery against copper grade of the runs; the numbers are in the table above"
			>
				<clipPath id="plot-field">
					<rect x={LEFT} y={TOP} width={WIDTH - LEFT - RIGHT} height={HEIGHT - TOP - BOTTOM} />
				</clipPath>
				<rect className="frame" x={LEFT} y={TOP} width={WIDTH - LEFT - RIGHT} height={HEIGHT - TOP - BOTTOM} />
				{x.ticks(4).map((tick) => (
					<text key={tick} x={x(tick)} y={HEIGHT - BOTTOM + 16} textAnchor="middle">
						{printPercent(tick, decimalsOf(plot.gradeRange))}
					</text>
				))}
				{y.ticks(5).map((tick) => (
					<text key={tick} x={LEFT - 5} y={y(tick) + 4} textAnchor="end">
						{printPercent(tick, decimalsOf(plot.recoveryRange))}
					</text>
				))}
				<text x={(LEFT + WIDTH - RIGHT) / 2} y={HEIGHT - 6} textAnchor="middle" className="strong">
					Copper grade
				</text>
				<text x={4} y={TOP - 9} className="strong">
					Copper recovery
				</text>
				<g clipPath="url(#plot-field)">
					{plot.equalValue.map(({ run, points }) => (
						<path key={run} className="equal-value" d={path(points)} />
					))}
					{plot.runs.map(({ name, region, together }, k) => (
						<g key={name}>
							<path className="region" d={path(region, 'Z')} strokeDasharray={DASHES[k % DASHES.length]} />
							<path className="products" d={path(together)} strokeDasharray={DASHES[k % DASHES.length]} />
							{together.map((point) => (
								<circle
									key={point.name}
									className={point.isBelow ? 'product below' : 'product'}
									cx={x(point.grade)}
									cy={y(point.recovery)}
									r="2.5"
								/>
							))}
						</g>
					))}
				</g>
				{labelsOutward(points).map(({ at: [px, py], label: [lx, ly] }, k) => (
					<g key={plot.runs[k]!.name}>
						{plot.runs[k]!.isLimit ? null : <circle className="best" cx={px} cy={py} r="4" />}
						<text className="strong" x={lx} y={ly + 5} textAnchor="middle">
							{k + 1}
						</text>
					</g>
				))}
			</svg>
			<ol>
				{plot.runs.map(({ name }) => (
					<li key={name}>{name}</li>
				))}
			</ol>
			<p className="hint narrow">
				Numbers stand at each run&rsquo;s concentrates taken together; the outline around a number holds the true place
				95 times in 100. Small dots are the run&rsquo;s products poured together one after the other, richest first.
				{isAnyBelow
					? ' Where copper is below detection, dots of products are hollow, concentrates have no point of their own, and outlines reach as far as its limits leave open.'
					: null}
				{plot.equalValue.length === 0
					? ' Enter prices to see lines of equal value.'
					: ' Along a dotted line a run would bring the same money at the prices on record, penalties left out.'}
			</p>
		</>
	);
}

type Place = readonly [number, number];

/** Numbers stand away from the middle of all points, so that runs close together keep theirs apart. */
function labelsOutward(points: readonly Place[]): readonly { readonly at: Place; readonly label: Place }[] {
	const middle = [0, 1].map((axis) => points.reduce((sum, at) => sum + at[axis]!, 0) / points.length);
	return points.map((at, k) => {
		const [dx, dy] = [at[0] - middle[0]!, at[1] - middle[1]!];
		// all in one place: round about it
		const angle = Math.hypot(dx, dy) < 1 ? Math.PI + (2 * Math.PI * k) / points.length : Math.atan2(dy, dx);
		return { at, label: [at[0] + LABEL_REACH * Math.cos(angle), at[1] + LABEL_REACH * Math.sin(angle)] };
	});
}

function decimalsOf([low, high]: readonly [number, number]): number {
	return high - low < 0.04 ? 1 : 0;
}

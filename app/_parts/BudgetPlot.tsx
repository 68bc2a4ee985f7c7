import { scaleLinear } from 'd3-scale';
import type { Explained, ExplainedProduct } from '@/lib/balance/explainRun';
import {
	ACTION_NAMES,
	CAUSE_NAMES,
	CAUSE_NOTES,
	printBarePoints,
	printGrams,
	printPoints,
	printVarianceShare,
} from '@/lib/report/checkSentences';
import { printPercent, printPlain, printShare } from '@/lib/report/format';

const [WIDTH, MARGIN, ROW, BAR] = [360, 8, 40, 14] as const;

/** Share of variance by cause: one bar a cause, longest first. */
export function BudgetPlot({ budget }: Explained) {
	const x = scaleLinear([0, 1], [0, WIDTH - 2 * MARGIN]);
	return (
		<svg
			className="run-plot"
			viewBox={`0 0 ${WIDTH} ${ROW * budget.lines.length}`}
			role="img"
			aria-label="Share of variance by cause; the numbers are in the table below"
		>
			{budget.lines.map(({ cause, varianceShare }, k) => (
				<g key={cause}>
					<text x={MARGIN} y={k * ROW + 14}>
						{`${CAUSE_NAMES[cause]}, ${printVarianceShare(varianceShare)}`}
					</text>
					<rect
						className="bar measured"
						x={MARGIN}
						y={k * ROW + 20}
						width={Math.max(1, x(varianceShare))}
						height={BAR}
					/>
				</g>
			))}
		</svg>
	);
}

/** The same as a table, with what each cause alone would do and what shrinks it. */
export function BudgetTable({ budget }: Explained) {
	return (
		<table className="stack">
			<caption>What the range is made of</caption>
			<thead>
				<tr>
					<th scope="col">Cause</th>
					<th scope="col" className="number">
						Share of variance
					</th>
					<th scope="col" className="number">
						Standard deviation, alone
					</th>
					<th scope="col">What it is</th>
				</tr>
			</thead>
			<tbody>
				{budget.lines.map(({ cause, u, varianceShare }) => (
					<tr key={cause}>
						<th scope="row">{CAUSE_NAMES[cause]}</th>
						<td className="number" data-head="Share of variance">
							{printVarianceShare(varianceShare)}
						</td>
						<td className="number" data-head="Standard deviation, alone">
							{printPoints(u)}
						</td>
						<td className="wide">{CAUSE_NOTES[cause]}</td>
					</tr>
				))}
				<tr>
					<th scope="row">All together</th>
					<td className="number" data-head="Share of variance">
						100 %
					</td>
					<td className="number" data-head="Standard deviation">
						{printPoints(budget.u)}
					</td>
					<td className="wide">Not exactly the sum: causes act on each other.</td>
				</tr>
			</tbody>
		</table>
	);
}

/** What could be measured next, best first, with what is expected of it. */
export function NextTable({ next }: Explained) {
	if (next.length === 0) return null;
	return (
		<table className="stack">
			<caption>What to measure next, best first</caption>
			<thead>
				<tr>
					<th scope="col">Measurement</th>
					<th scope="col">Range expected, if the value stays</th>
					<th scope="col" className="number">
						Width against today&rsquo;s
					</th>
				</tr>
			</thead>
			<tbody>
				{next.map(({ action, product, expected, widthRatio }) => (
					<tr key={action}>
						<th scope="row">
							{ACTION_NAMES[action]} ({product})
						</th>
						<td data-head="Range expected">{printShare(expected)}</td>
						<td className="number" data-head="Width against today’s">
							{printPercent(widthRatio)}
						</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

const [PLAN_HEIGHT, LEFT, TOP, BOTTOM] = [220, 44, 30, 40] as const;

/** How far above its line a name stands, so that a line that falls towards it stays clear. */
const [ABOVE, BELOW] = [12, 18] as const;

/** Half the range against the number of spreads: sampling alone (dashes) and with everything else. */
export function PlanCurve({ plan }: ExplainedProduct) {
	const most = Math.max(...plan.map(({ halfWidth }) => halfWidth), 1e-6);
	const x = scaleLinear([0, plan.at(-1)?.spreads ?? 1], [LEFT, WIDTH - MARGIN]);
	const y = scaleLinear([0, 100 * most], [PLAN_HEIGHT - BOTTOM, TOP]).nice(3);
	const path = (of: (line: (typeof plan)[number]) => number) =>
		plan
			.map((line, i) => `${i === 0 ? 'M' : 'L'}${x(line.spreads).toFixed(1)} ${y(100 * of(line)).toFixed(1)}`)
			.join('');
	const last = plan.at(-1);
	return (
		<svg
			className="run-plot"
			viewBox={`0 0 ${WIDTH} ${PLAN_HEIGHT}`}
			role="img"
			aria-label="Half the range against the number of spreads; the numbers are in the table below"
		>
			<line className="axis" x1={LEFT} x2={WIDTH - MARGIN} y1={y(0)} y2={y(0)} />
			<line className="axis" x1={LEFT} x2={LEFT} y1={TOP} y2={y(0)} />
			{y.ticks(3).map((tick) => (
				<g key={tick}>
					<line className="axis" x1={LEFT - 4} x2={LEFT} y1={y(tick)} y2={y(tick)} />
					<text x={LEFT - 8} y={y(tick) + 4} textAnchor="end">
						{printPlain(tick)}
					</text>
				</g>
			))}
			{[1, 5, 10, 15, 20].map((tick) => (
				<text key={tick} x={x(tick)} y={PLAN_HEIGHT - BOTTOM + 16} textAnchor="middle">
					{tick}
				</text>
			))}
			<text x={MARGIN} y={14}>
				Range, ± points
			</text>
			<text x={WIDTH - MARGIN} y={PLAN_HEIGHT - 6} textAnchor="end">
				Number of spreads
			</text>
			<path
				d={path(({ samplingHalfWidth }) => samplingHalfWidth)}
				fill="none"
				stroke="currentColor"
				strokeDasharray="5 4"
			/>
			<path d={path(({ halfWidth }) => halfWidth)} fill="none" stroke="currentColor" strokeWidth="2" />
			{last === undefined ? null : (
				<>
					<text x={x(last.spreads)} y={y(100 * last.halfWidth) - ABOVE} className="strong" textAnchor="end">
						with all other causes
					</text>
					<text
						x={x(last.spreads)}
						y={samplingNameY(y(100 * last.samplingHalfWidth), y(100 * last.halfWidth))}
						textAnchor="end"
					>
						sampling alone
					</text>
				</>
			)}
		</svg>
	);
}

/** Above its own line where there is room below the other one, else under it. */
function samplingNameY(own: number, other: number): number {
	return own - other > ABOVE + BELOW ? own - ABOVE : own + BELOW;
}

/** The plan as a table, few enough columns to stand beside each other on a phone. */
export function PlanTable({ plan }: ExplainedProduct) {
	return (
		<table className="tight">
			<caption>How many spreads for what range: &plusmn; points, 95 times in 100</caption>
			<thead>
				<tr>
					<th scope="col">Spreads</th>
					<th scope="col" className="number">
						Grams
					</th>
					<th scope="col" className="number">
						Sampling alone
					</th>
					<th scope="col" className="number">
						In all
					</th>
				</tr>
			</thead>
			<tbody>
				{plan.map(({ spreads, massG, samplingHalfWidth, halfWidth }) => (
					<tr key={spreads}>
						<th scope="row">{spreads}</th>
						<td className="number">{printGrams(massG)}</td>
						<td className="number">{printBarePoints(samplingHalfWidth)}</td>
						<td className="number">{printBarePoints(halfWidth)}</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

/** Grams to take before anything was photographed, by the size of the largest pieces. */
export function BeforehandTable({ beforehand }: ExplainedProduct) {
	return (
		<table>
			<caption>Before the first spread: how much to take, by Gy&rsquo;s formula</caption>
			<thead>
				<tr>
					<th scope="col">Largest pieces</th>
					<th scope="col" className="number">
						Grams, at least
					</th>
				</tr>
			</thead>
			<tbody>
				{beforehand.map(({ topSizeMm, massG }) => (
					<tr key={topSizeMm}>
						<th scope="row">{topSizeMm} mm</th>
						<td className="number">{printGrams(massG)}</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

import { scaleLinear } from 'd3-scale';
import Link from 'next/link';
import { EstimateCell, TextCell } from '@/app/_parts/EstimateCell';
import { RunsBehind, RunsInReading } from '@/app/_parts/FiguresNote';
import { lotHistory, runsAtOnce } from '@/app/_parts/lotHistory';
import { StaysUpToDate } from '@/app/_parts/ReadingProgress';
import type { Bounds } from '@/lib/balance/runAccount';
import type { HistoryLine } from '@/lib/balance/runHistory';
import type { Estimate } from '@/lib/quantity/quantity';
import { printDay, printPercent, printShare } from '@/lib/report/format';
import { printRecoveryBounds } from '@/lib/report/sentences';
import { progressOf } from '@/lib/store/progress';
import { runsAsTheyStand } from '@/lib/store/runSummaries';
import type { RunLine } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

/** A lot's runs over time: recovery and grade of copper in the concentrates, with their ranges. */
export async function LotTrends({
	lotId,
	runs,
	areAll,
}: {
	readonly lotId: string;
	/** Those that the page lists, latest first. */
	readonly runs: readonly RunLine[];
	/** They are all runs of the lot. */
	readonly areAll: boolean;
}) {
	const { store, pool } = await theStore();
	// taken first, so that what changes while the rest is looked up is a change that the page hears of
	const progress = await progressOf(store, undefined, pool.size);
	const stated = await runsAsTheyStand(store, { ids: runs.map(({ id }) => id) });
	const worked = await runsAtOnce(store, pool, stated.toReversed());
	const lines = lotHistory(worked);
	if (lines.length < 2) return null;
	return (
		<section>
			<h2>Runs over time</h2>
			<StaysUpToDate initial={progress} awaited={worked.awaited} />
			<RunsBehind names={worked.behind} />
			{areAll ? null : (
				<p className="hint">Of the {lines.length} runs that this page lists. The tables to save hold all.</p>
			)}
			<TrendPlot
				title="Copper recovery"
				lines={lines}
				of={({ recovery, recoveryBounds }) => recovery ?? recoveryBounds}
			/>
			{lines.some(({ recoveryBounds }) => recoveryBounds !== undefined) ? (
				<p className="hint">Dashed: limits; no more is known.</p>
			) : null}
			<TrendPlot title="Copper grade" lines={lines} of={({ grade }) => grade} />
			<table className="stack">
				<caption>Concentrates of each run, oldest first</caption>
				<thead>
					<tr>
						<th scope="col">Run</th>
						<th scope="col" className="number">
							{HEADS.recovery}
						</th>
						<th scope="col" className="number">
							{HEADS.grade}
						</th>
					</tr>
				</thead>
				<tbody>
					{lines.map(({ id, name, date, recovery, recoveryBounds, grade, firstAfterChange }, k) => (
						<tr key={id}>
							<th scope="row">
								{k + 1}. {name}
								{date === undefined ? '' : `, ${printDay(date)}`}
								{firstAfterChange ? ', first after a change' : ''}
							</th>
							{recoveryBounds === undefined ? (
								<EstimateCell head={HEADS.recovery} estimate={recovery} percent />
							) : (
								<TextCell head={HEADS.recovery}>{printRecoveryBounds(recoveryBounds)}</TextCell>
							)}
							<EstimateCell head={HEADS.grade} estimate={grade} percent />
						</tr>
					))}
				</tbody>
			</table>
			<RunsInReading lotId={lotId} />
			<div className="actions">
				<Link className="button quiet" href={`/compare?lot=${lotId}`}>
					Compare runs
				</Link>
				<Link className="button quiet" href={`/compare/settings?lot=${lotId}`}>
					What did a setting do?
				</Link>
				<a className="button quiet" href={`/lots/${lotId}/history.csv`} download>
					Save as a table (CSV)
				</a>
				<a className="button quiet" href={`/lots/${lotId}/history.json`} download>
					Save as JSON
				</a>
			</div>
		</section>
	);
}

const HEADS = { recovery: 'Copper recovery, %', grade: 'Copper grade, %' } as const;

const [WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM] = [360, 150, 58, 12, 22, 22] as const;

/**
 * One figure over the runs in their order: a line for the range, a dot for the best value. Where only limits are known, a dashed line between
 * them and no dot.
 */
function TrendPlot({
	title,
	lines,
	of,
}: {
	readonly title: string;
	readonly lines: readonly HistoryLine[];
	readonly of: (line: HistoryLine) => Estimate | Bounds | undefined;
}) {
	const known = lines.flatMap((line, k) => {
		const share = of(line);
		return share === undefined ? [] : [{ k, name: line.name, share }];
	});
	if (known.length === 0) return null;
	const [least, most] = [
		Math.min(...known.map(({ share }) => share.low)),
		Math.max(...known.map(({ share }) => share.high)),
	];
	const room = Math.max(0.01, 0.1 * (most - least));
	const y = scaleLinear([Math.max(0, least - room), Math.min(1, most + room)], [HEIGHT - BOTTOM, TOP]);
	const x = scaleLinear([-0.5, lines.length - 0.5], [LEFT, WIDTH - RIGHT]);
	// a number takes a fifteenth of the width
	const every = Math.ceil(lines.length / 15);
	return (
		<svg
			className="run-plot"
			viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
			role="img"
			aria-label={`${title}: ${known.map(({ name, share }) => `${name} ${'value' in share ? printShare(share) : printRecoveryBounds(share)}`).join('; ')}`}
		>
			<text x={LEFT} y={12} className="strong">
				{title}
			</text>
			<rect className="frame" x={LEFT} y={TOP} width={WIDTH - LEFT - RIGHT} height={HEIGHT - TOP - BOTTOM} />
			{y.ticks(4).map((tick) => (
				<text key={tick} x={LEFT - 5} y={y(tick) + 4} textAnchor="end">
					{printPercent(tick, most - least < 0.04 ? 1 : 0)}
				</text>
			))}
			{known.map(({ k, name, share }) => (
				<g key={`${k} ${name}`}>
					<line
						className="range-line"
						strokeDasharray={'value' in share ? undefined : '4 3'}
						x1={x(k)}
						x2={x(k)}
						y1={y(share.low)}
						y2={y(share.high)}
					/>
					{'value' in share && !share.belowDetectionLimit ? (
						<circle className="best" cx={x(k)} cy={y(share.value)} r={every === 1 ? 4.5 : 2.5} />
					) : null}
					{k % every === 0 ? (
						<text x={x(k)} y={HEIGHT - 6} textAnchor="middle">
							{k + 1}
						</text>
					) : null}
				</g>
			))}
		</svg>
	);
}

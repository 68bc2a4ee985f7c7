import { scaleLinear } from 'd3-scale';
import type { SettingRow } from '@/app/_forms/settingRows';
import type { Difference, RunComparison } from '@/lib/balance/compareRuns';
import { chanceOfImprovement, comparedFigureName, pointsLines } from '@/lib/report/compareSentences';
import { EstimateCell } from './EstimateCell';

/** Settings of the runs side by side: those that differ, and the others a tap away. */
export function SettingsTables(props: { readonly rows: readonly SettingRow[]; readonly names: readonly string[] }) {
	const { rows, names } = props;
	const changed = rows.filter(({ differs }) => differs);
	const same = rows.filter(({ differs }) => !differs);
	return (
		<>
			{changed.length === 0 ? (
				<p>No setting is known to have been changed.</p>
			) : (
				<SettingsTable caption="Settings that were changed" rows={changed} names={names} />
			)}
			{same.length === 0 ? null : (
				<details>
					<summary>All other settings</summary>
					<SettingsTable caption="All other settings" rows={same} names={names} />
				</details>
			)}
		</>
	);
}

function SettingsTable({
	caption,
	rows,
	names,
}: {
	readonly caption: string;
	readonly rows: readonly SettingRow[];
	readonly names: readonly string[];
}) {
	return (
		<table className="stack">
			<caption>{caption}</caption>
			<thead>
				<tr>
					<th scope="col">Setting</th>
					{names.map((name) => (
						<th scope="col" key={name}>
							{name}
						</th>
					))}
					<th scope="col">Differs</th>
				</tr>
			</thead>
			<tbody>
				{rows.map(({ label, values, differs, isNotedByAll }) => (
					<tr key={label}>
						<th scope="row">{label}</th>
						{values.map((value, k) => (
							<td className="words" key={names[k]} data-head={names[k]}>
								{value}
							</td>
						))}
						<td data-head="Differs">{differs ? <strong>changed</strong> : isNotedByAll ? 'same' : 'not known'}</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

const HEADS = { difference: 'Difference, points', chance: 'Chance that it is better' } as const;

/** Figures of both runs and their differences: those that matter most, and the others a tap away. */
export function DifferenceTables({ comparison }: { readonly comparison: RunComparison }) {
	const main = comparison.differences.filter(({ isMain }) => isMain);
	const rest = comparison.differences.filter(({ isMain }) => !isMain);
	return (
		<>
			{main.length === 0 ? null : <DifferenceTable comparison={comparison} differences={main} />}
			{rest.length === 0 ? null : (
				<details>
					<summary>All other figures</summary>
					<DifferenceTable comparison={comparison} differences={rest} />
				</details>
			)}
		</>
	);
}

/** Both runs and the difference with its range; clear differences are marked in words. */
function DifferenceTable({
	comparison: { base, other },
	differences,
}: {
	readonly comparison: RunComparison;
	readonly differences: readonly Difference[];
}) {
	const widest = Math.max(1e-6, ...differences.flatMap(({ difference: d }) => [Math.abs(d.low), Math.abs(d.high)]));
	return (
		<table className="stack">
			<caption>
				{other} against {base}, shares in %
			</caption>
			<thead>
				<tr>
					<th scope="col">Figure</th>
					<th scope="col" className="number">
						{base}
					</th>
					<th scope="col" className="number">
						{other}
					</th>
					<th scope="col" className="number">
						{HEADS.difference}
					</th>
					<th scope="col">Around zero</th>
					<th scope="col" className="number">
						{HEADS.chance}
					</th>
				</tr>
			</thead>
			<tbody>
				{differences.map((line) => (
					<tr key={comparedFigureName(line)}>
						<th scope="row">{comparedFigureName(line)}</th>
						<EstimateCell head={base} estimate={line.base} percent />
						<EstimateCell head={other} estimate={line.other} percent />
						<td className="number" data-head={HEADS.difference}>
							<span>
								{pointsLines(line.difference)[0]}
								<span className="range">
									{pointsLines(line.difference)[1]}
									{line.isClear ? ', clear' : ''}
								</span>
							</span>
						</td>
						<td>
							<DifferencePlot line={line} widest={widest} />
						</td>
						<td className="number" data-head={HEADS.chance}>
							{chanceOfImprovement(line)}
						</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

const [WIDTH, HEIGHT] = [200, 22] as const;

/** The difference on an axis with zero in its middle. */
function DifferencePlot({ line, widest }: { readonly line: Difference; readonly widest: number }) {
	const { difference } = line;
	const x = scaleLinear([-widest, widest], [8, WIDTH - 8]);
	const [first, second] = pointsLines(difference);
	return (
		<svg
			className="plot"
			viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
			role="img"
			aria-label={`Difference in points: ${first}, ${second}; zero in the middle`}
		>
			<line className="axis" x1={x(0)} x2={x(0)} y1={1} y2={HEIGHT - 1} strokeWidth="2" />
			<line className="range-line" x1={x(difference.low)} x2={x(difference.high)} y1={HEIGHT / 2} y2={HEIGHT / 2} />
			{difference.belowDetectionLimit ? null : (
				<circle className="best" cx={x(difference.value)} cy={HEIGHT / 2} r="5" />
			)}
		</svg>
	);
}

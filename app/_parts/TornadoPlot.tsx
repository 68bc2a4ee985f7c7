import { scaleLinear } from 'd3-scale';
import { KG_PER_UNIT } from '@/lib/quantity/units';
import { INPUT_NAMES, inputRangeText, marginMoveText, printMoney, TON_NAMES } from '@/lib/report/moneySentences';
import type { PriceSheet } from '@/lib/value/priceSheet';
import type { RunValue } from '@/lib/value/runValue';

const [WIDTH, MARGIN, ROW, BAR, HEAD] = [360, 12, 46, 14, 26] as const;

/** What moves the margin: one bar an input, longest first, from the margin at its low end to that at its high end. */
export function TornadoPlot({ value, sheet }: { readonly value: RunValue; readonly sheet: PriceSheet }) {
	const { sensitivities, marginPerKg, currency = '' } = value;
	if (sensitivities.length === 0 || marginPerKg === undefined) return null;
	const ends = sensitivities.flatMap(({ marginAtLow, marginAtHigh }) => [marginAtLow, marginAtHigh]);
	const [least, most] = [Math.min(...ends), Math.max(...ends)];
	const x = scaleLinear([least, most], [MARGIN, WIDTH - MARGIN]);
	const best = x(marginPerKg.value);
	const height = HEAD + ROW * sensitivities.length;
	return (
		<svg
			className="run-plot"
			viewBox={`0 0 ${WIDTH} ${height}`}
			role="img"
			aria-label={`What moves the margin, in ${currency} per ${TON_NAMES[sheet.perTon]}; the numbers are in the table below`}
		>
			<text x={Math.min(Math.max(best, 60), WIDTH - 60)} y={12} textAnchor="middle" className="strong">
				{printMoney(marginPerKg, currency, KG_PER_UNIT[sheet.perTon])}
			</text>
			{sensitivities.map((row, k) => {
				const y = HEAD + k * ROW;
				const [left, right] = [
					Math.min(row.marginAtLow, row.marginAtHigh),
					Math.max(row.marginAtLow, row.marginAtHigh),
				];
				return (
					<g key={row.input}>
						<line className="axis" x1={best} x2={best} y1={y + 16} y2={y + 20 + BAR} />
						<rect
							className={row.origin === 'measured' ? 'bar measured' : 'bar'}
							x={x(left)}
							y={y + 18}
							width={Math.max(1, x(right) - x(left))}
							height={BAR}
						/>
						<text x={MARGIN} y={y + 13}>
							{`${INPUT_NAMES[row.input]}, ${inputRangeText(row, sheet, currency)}`}
						</text>
					</g>
				);
			})}
		</svg>
	);
}

/** The same as a table. */
export function TornadoTable({ value, sheet }: { readonly value: RunValue; readonly sheet: PriceSheet }) {
	const { sensitivities, marginPerKg, currency = '' } = value;
	if (marginPerKg === undefined) return null;
	const per = `${currency} per ${TON_NAMES[sheet.perTon]}`;
	return (
		<table className="stack">
			<caption>What moves the margin, largest first</caption>
			<thead>
				<tr>
					<th scope="col">Input</th>
					<th scope="col" className="number">
						From its low to its high end
					</th>
					<th scope="col" className="number">
						Moves the margin, {per}
					</th>
				</tr>
			</thead>
			<tbody>
				{sensitivities.map((row) => (
					<tr key={row.input}>
						<th scope="row">{INPUT_NAMES[row.input]}</th>
						<td className="number words" data-head="From its low to its high end">
							{inputRangeText(row, sheet, currency)}
						</td>
						<td className="number" data-head={`Moves the margin, ${per}`}>
							{marginMoveText(row, marginPerKg, sheet.perTon)}
						</td>
					</tr>
				))}
			</tbody>
		</table>
	);
}

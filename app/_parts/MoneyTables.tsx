import { KG_PER_UNIT } from '@/lib/quantity/units';
import { printDay, printPercent } from '@/lib/report/format';
import {
	breakEvenGradeText,
	breakEvenPriceText,
	LINE_NAMES,
	paybackText,
	printMoney,
	printPrice,
	TON_NAMES,
	tailingsText,
} from '@/lib/report/moneySentences';
import { PRICED_METALS, type PriceSheet } from '@/lib/value/priceSheet';
import type { RunValue } from '@/lib/value/runValue';

interface Money {
	readonly value: RunValue;
	readonly sheet: PriceSheet;
}

/** The margin line by line, break-even and payback, with the prices they rest on beside them. */
export function MoneyTables({ value, sheet, enteredAt }: Money & { readonly enteredAt: string }) {
	return (
		<>
			<Prices sheet={sheet} enteredAt={enteredAt} />
			<MarginTable value={value} sheet={sheet} />
			<BreakEven value={value} sheet={sheet} />
		</>
	);
}

function Prices({ sheet, enteredAt }: { readonly sheet: PriceSheet; readonly enteredAt: string }) {
	return (
		<section>
			<h2>Prices</h2>
			<ul>
				{PRICED_METALS.flatMap((metal) => {
					const entry = sheet.metals[metal];
					if (entry === undefined) return [];
					const { price, date, note, payable, deduction } = entry;
					return [
						<li key={metal}>
							{metal === 'copper' ? 'Copper' : 'Aluminium'} {printPrice(price.amount, price.currency)} per{' '}
							{TON_NAMES[price.per]}, {printDay(date)}, from: {note}. Payable {printPercent(payable, 1)}
							{deduction > 0 ? `, less ${printPercent(deduction, 1)} of the product` : ''}.
						</li>,
					];
				})}
			</ul>
			<p className="soft">
				Entered {printDay(enteredAt)}. Sold: {sheet.sold.join(' and ')}.
			</p>
		</section>
	);
}

function MarginTable({ value, sheet }: Money) {
	const { lines, marginPerKg, marginPerRun, currency = '' } = value;
	if (lines === undefined) return null;
	const per = `${currency} per ${TON_NAMES[sheet.perTon]}`;
	const kg = KG_PER_UNIT[sheet.perTon];
	return (
		<section>
			<h2>Margin</h2>
			<table className="stack">
				<caption>By the {TON_NAMES[sheet.perTon]} of dry waste</caption>
				<thead>
					<tr>
						<th scope="col">Line</th>
						<th scope="col" className="number">
							{per}
						</th>
					</tr>
				</thead>
				<tbody>
					{lines.map(({ line, perKg }) => (
						<tr key={line}>
							<th scope="row">{LINE_NAMES[line]}</th>
							<td className="number" data-head={per}>
								{printMoney(perKg, '', kg).trim()}
							</td>
						</tr>
					))}
					{marginPerKg === undefined ? null : (
						<tr>
							<th scope="row">Net margin</th>
							<td className="number" data-head={per}>
								<strong>{printMoney(marginPerKg, '', kg).trim()}</strong>
							</td>
						</tr>
					)}
					{marginPerRun === undefined ? null : (
						<tr>
							<th scope="row">Net margin of this run</th>
							<td className="number" data-head="In all">
								{printMoney(marginPerRun, currency)}
							</td>
						</tr>
					)}
				</tbody>
			</table>
		</section>
	);
}

function BreakEven({ value, sheet }: Money) {
	const breakEven = breakEvenPriceText(value, sheet);
	const breakEvenGrade = breakEvenGradeText(value);
	const payback = paybackText(value);
	const inTailings = tailingsText(value, sheet.perTon);
	return (
		<dl className="figures">
			{breakEven === undefined ? null : (
				<>
					<dt>Break-even copper price</dt>
					<dd>{breakEven}</dd>
				</>
			)}
			{breakEvenGrade === undefined ? null : (
				<>
					<dt>Break-even copper in the waste</dt>
					<dd>{breakEvenGrade}</dd>
				</>
			)}
			{payback === undefined ? null : (
				<>
					<dt>Payback, without interest</dt>
					<dd>{payback}</dd>
				</>
			)}
			{inTailings === undefined ? null : (
				<>
					<dt>Copper left in the tailings</dt>
					<dd>{inTailings}</dd>
				</>
			)}
		</dl>
	);
}

import type { Problem } from '@/app/_forms/formState';
import { KNOBS } from '@/app/_forms/runForm';
import { settingUnit } from '@/app/_forms/settledRun';
import type { FactorialPlan } from '@/lib/balance/factorialPlan';
import { printPlain } from '@/lib/report/format';
import { planSentences } from '@/lib/report/planSentences';
import { AddressField } from './AddressField';
import { ErrorSummary } from './ErrorSummary';

/** Two levels for each setting that is to be tried; sent in the address, so that the plan can be kept. */
export function PlanForm({
	lotId,
	typed,
	problems,
}: {
	readonly lotId: string;
	readonly typed: Readonly<Record<string, string>>;
	readonly problems: readonly Problem[];
}) {
	const field = (name: string, label: string) => (
		<AddressField name={name} label={label} typed={typed} problems={problems} />
	);
	return (
		<form className="entry-form">
			<input type="hidden" name="lot" value={lotId} />
			<input type="hidden" name="of" value={typed.of ?? 'recovery'} />
			<ErrorSummary problems={problems} attempt={1} />
			{KNOBS.map(({ field: knob, label, unit }) => (
				<div className="pair" key={knob}>
					{field(`${knob}Low`, `${label}, low level, ${unit}`)}
					{field(`${knob}High`, `${label}, high level, ${unit}`)}
				</div>
			))}
			<label className="check">
				<input type="checkbox" name="half" value="yes" defaultChecked={typed.half === 'yes'} />
				<span>Half the runs only (three settings or more)</span>
			</label>
			{field('times', 'How often each combination is run (once where left empty)')}
			{field('seed', 'Seed of the run order (the same seed gives the same order)')}
			<button type="submit" className="button main" name="plan" value="yes">
				Make the plan
			</button>
		</form>
	);
}

/** The runs of a plan in the order they are to be done. */
export function PlanTable({ plan }: { readonly plan: FactorialPlan }) {
	const { settings, runs, seed } = plan;
	return (
		<section>
			<table className="stack">
				<caption>
					{runs.length} runs in this order, seed {seed}
				</caption>
				<thead>
					<tr>
						<th scope="col">Run</th>
						{settings.map(({ name }) => (
							<th scope="col" className="number" key={name}>
								{name}, {settingUnit(name)}
							</th>
						))}
					</tr>
				</thead>
				<tbody>
					{runs.map(({ order, high }) => (
						<tr key={order}>
							<th scope="row">{order}</th>
							{settings.map((setting, k) => (
								<td className="number" key={setting.name} data-head={`${setting.name}, ${settingUnit(setting.name)}`}>
									{printPlain(high[k] ? setting.high : setting.low)} {high[k] ? '(high)' : '(low)'}
								</td>
							))}
						</tr>
					))}
				</tbody>
			</table>
			{planSentences(plan).map((sentence) => (
				<p className="narrow" key={sentence}>
					{sentence}
				</p>
			))}
		</section>
	);
}

import { perUnitOf } from '@/app/_forms/settledRun';
import type { SettingEffects } from '@/lib/balance/settingEffects';
import { printPoints } from '@/lib/report/compareSentences';
import { printPercent } from '@/lib/report/format';

/** What each setting did to the outcome, per unit of the setting, with what can't be told. */
export function EffectsTable({ effects, outcome }: { readonly effects: SettingEffects; readonly outcome: string }) {
	const head = { effect: `${outcome} for one unit more`, overlap: 'Changed along with the others' };
	return (
		<>
			{effects.warnings.map((warning) => (
				<div className="caution" key={warning}>
					<p>{warning}</p>
				</div>
			))}
			{effects.effects.length === 0 ? null : (
				<>
					<table className="stack">
						<caption>
							Effects over {effects.runs} runs, {effects.degreesOfFreedom} degrees of freedom left
						</caption>
						<thead>
							<tr>
								<th scope="col">Setting</th>
								<th scope="col">{head.effect}</th>
								<th scope="col" className="number">
									{head.overlap}
								</th>
							</tr>
						</thead>
						<tbody>
							{effects.effects.map(({ setting, perUnit, overlap }) => (
								<tr key={setting}>
									<th scope="row">
										{setting}, {perUnitOf(setting)}
									</th>
									<td className="words" data-head={head.effect}>
										{printPoints(perUnit)}
										{perUnit.low > 0 || perUnit.high < 0 ? ', clear' : ', not told apart from none'}
									</td>
									<td className="number" data-head={head.overlap}>
										{printPercent(overlap)}
									</td>
								</tr>
							))}
						</tbody>
					</table>
					<p className="hint narrow">
						Straight-line effects by regression. Ranges come from how far the runs scatter about the line, so what a run
						differs from itself is in them; a run that is known less well than most counts for less. One in twenty
						settings that do nothing looks clear by chance.
					</p>
				</>
			)}
		</>
	);
}

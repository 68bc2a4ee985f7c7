import { KNOBS } from '@/app/_forms/runForm';
import { FEED_WET_HINT } from '@/app/_forms/weighingForm';
import { CheckField, NotesField, NumberField, SelectField, TextField } from './Fields';
import { WeighingFields } from './WeighingFields';

/** The fields of a run: what was fed, how the table was set, what photos are read with. */
export function RunFields({
	initial,
	materials,
}: {
	readonly initial: Readonly<Record<string, string>>;
	readonly materials: readonly string[];
}) {
	const from = (name: string) => initial[name] ?? '';
	return (
		<>
			<div className="pair">
				<TextField name="name" label="Name of the run" initial={from('name')} />
				<TextField name="runDate" label="Date" type="date" initial={from('runDate')} />
			</div>
			<fieldset>
				<legend>Feed</legend>
				<p className="hint">
					What was put on the table. It can be weighed later; without it recoveries rest on the products alone.
				</p>
				<WeighingFields prefix="feed-" initial={initial} wetHint={FEED_WET_HINT} />
				<details open={from('feedCopper') !== '' || from('loss-gross') !== ''}>
					<summary>Feed grade and stated loss, if known</summary>
					<div className="pair">
						<NumberField
							name="feedCopper"
							label="Copper in the dry feed"
							hint="Only if known from elsewhere, a laboratory for example."
							unit="%"
							initial={from('feedCopper')}
						/>
						<NumberField
							name="feedCopperU"
							label="How far off that may be"
							hint="One standard uncertainty, in points."
							unit="points"
							initial={from('feedCopperU')}
						/>
					</div>
					<h3>Stated loss</h3>
					<p className="hint">Dry material known to be spilt, floated off or kept as samples.</p>
					<WeighingFields prefix="loss-" initial={initial} askMoisture={false} />
				</details>
			</fieldset>
			<fieldset>
				<legend>Table settings</legend>
				<p className="hint">Leave empty what you did not note.</p>
				<div className="pair">
					{KNOBS.map(({ field, label, unit }) => (
						<NumberField key={field} name={field} label={label} unit={unit} initial={from(field)} />
					))}
					<TextField name="wettingAgent" label="Wetting agent" initial={from('wettingAgent')} />
					<NumberField
						name="wettingAgentDoseMlPerL"
						label="Dose"
						unit="mL per L of water"
						initial={from('wettingAgentDoseMlPerL')}
					/>
				</div>
				<SelectField
					name="filmOnDeck"
					label="Film on the deck"
					initial={from('filmOnDeck')}
					options={[
						{ value: '', label: 'Not noted' },
						{ value: 'no', label: 'No film' },
						{ value: 'yes', label: 'A film was laid' },
					]}
				/>
				<CheckField
					name="firstAfterChange"
					label="First run after a change, the table not washed through"
					initial={from('firstAfterChange')}
				/>
				<NotesField name="notes" label="Notes (optional)" initial={from('notes')} />
			</fieldset>
			<fieldset>
				<legend>Photos</legend>
				<SelectField
					name="material"
					label="Material that photos are read with"
					initial={from('material')}
					options={materials.map((value) => ({ value, label: value }))}
				/>
			</fieldset>
		</>
	);
}

import { MASS_UNITS } from '@/lib/quantity/units';
import { UNIT_TEXT } from '@/lib/report/format';
import { shownUnit } from '@/lib/report/presentation';
import { NotesField, NumberField, SelectField, TextField } from './Fields';

/** The fields of a lot. */
export function LotFields({ initial = {} }: { readonly initial?: Readonly<Record<string, string>> }) {
	return (
		<>
			<TextField
				name="name"
				label="Name of the lot"
				hint="As it stands on the bag or the purchase slip."
				initial={initial.name ?? ''}
			/>
			<TextField name="source" label="Where it is from (optional)" initial={initial.source ?? ''} />
			<div className="pair">
				<NumberField name="receivedMass" label="Received mass (optional)" initial={initial.receivedMass ?? ''} />
				<SelectField
					name="receivedUnit"
					label="Unit"
					initial={initial.receivedUnit ?? shownUnit('kg')}
					options={MASS_UNITS.map((value) => ({ value, label: UNIT_TEXT[value] }))}
				/>
			</div>
			<TextField
				name="treatment"
				label="How it was treated before (optional)"
				hint="For example: granulated only, screened, separated electrostatically."
				initial={initial.treatment ?? ''}
			/>
			<NotesField name="notes" label="Notes (optional)" initial={initial.notes ?? ''} />
		</>
	);
}

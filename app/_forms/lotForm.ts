import { fromKg, MASS_UNITS, readMass } from '@/lib/quantity/units';
import { printEntered } from '@/lib/report/format';
import type { LotEntry } from '@/lib/store/lots';
import { FieldReader } from './readFields';
import { unitOf } from './unitOf';

/** Read the lot form; the entry counts only when there is no problem. */
export function readLotForm(typed: Readonly<Record<string, string>>): { entry: LotEntry; fields: FieldReader } {
	const fields = new FieldReader(typed);
	const receivedUnit = fields.choice('receivedUnit', MASS_UNITS, 'Choose the unit of the received mass');
	let receivedMassKg: number | null = null;
	if (fields.has('receivedMass')) {
		try {
			receivedMassKg = readMass(typed.receivedMass ?? '', 'The received mass', receivedUnit).massKg;
			if (!(receivedMassKg > 0 && receivedMassKg <= 1e6)) {
				fields.problem(
					'receivedMass',
					'The received mass must be above zero and below 1000 tonnes. Check number and unit.',
				);
			}
		} catch (cause) {
			fields.caught('receivedMass', cause);
		}
	}
	const entry = {
		name: fields.needed('name', 'Enter a name for the lot'),
		source: fields.text('source', 120),
		receivedMassKg,
		receivedUnit,
		treatment: fields.text('treatment', 200),
		notes: fields.text('notes', 4000),
	};
	return { entry, fields };
}

/** A lot's entry as the form's fields show it again. */
export function typedLot({ name, source, treatment, notes, receivedMassKg, receivedUnit }: LotEntry) {
	const receivedMass = receivedMassKg === null ? '' : printEntered(fromKg(receivedMassKg, unitOf(receivedUnit)));
	return { name, source, treatment, notes, receivedUnit, receivedMass };
}

/** A lot's mass goes with its unit. */
export function lotGroup(field: string): string {
	return field === 'receivedUnit' ? 'receivedMass' : field;
}

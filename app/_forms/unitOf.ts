import { MASS_UNITS, type MassUnit } from '@/lib/quantity/units';

/** A kept unit's name as a unit; kilograms where it is none. */
export function unitOf(name: string): MassUnit {
	return MASS_UNITS.find((unit) => unit === name) ?? 'kg';
}

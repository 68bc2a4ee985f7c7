import { DEFAULT_MATERIAL_NAME } from '../../lib/store/materials';

/** A lot called Lot A. */
export const LOT = {
	name: 'Lot A',
	source: 'invented',
	receivedMassKg: 400,
	receivedUnit: 'lb',
	treatment: 'granulated only',
	notes: '',
} as const;

/** A run with nothing noted yet. */
export const RUN = {
	name: 'Run 1',
	runDate: '2026-03-05',
	settings: { strokeLengthMm: 14 },
	feed: {},
	notes: '',
	material: DEFAULT_MATERIAL_NAME,
} as const;

import type { Graded } from '../material/classes';
import { GRADED_NOTES } from './sentences';

/** What a figure says and where it comes from, for who taps on it. */
export interface Meaning {
	readonly says: string;
	readonly from: string;
	/** Help page that says more. */
	readonly more: string;
}

const FROM_PHOTOS =
	'Worked out from the areas and widths of the pieces on the photos, with the thicknesses and densities of the material.';

/** A component's share of the dry mass. */
export function gradeMeaning(name: Graded): Meaning {
	return { says: `Share of the dry mass. ${GRADED_NOTES[name]}`, from: FROM_PHOTOS, more: '/help/grade' };
}

/** A class's share of the pieces' area. */
export const AREA_MEANING: Meaning = {
	says: 'Share of the area of all pieces, seen from above, and beside it their share of the mass.',
	from: 'Counted on the photo, with the class mix-ups that the program is known to make taken out.',
	more: '/help/grade',
};

/** Copper recovered in the concentrates. */
export const RECOVERY_MEANING: Meaning = {
	says: 'Of all the copper that was fed, the share that ended in the concentrates.',
	from: 'From the reconciled weights and grades of all bins, so that every part comes out as it went in.',
	more: '/help/glossary',
};

/** Products over feed. */
export const CLOSURE_MEANING: Meaning = {
	says: 'The dry weight of all products over the dry weight of the feed. 100 % means that nothing was lost or gained.',
	from: 'From the scales alone, as measured. Its range is that of steps, tares and moisture.',
	more: '/help/glossary',
};

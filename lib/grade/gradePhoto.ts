import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '../quantity/seededRandom';
import type { ErrorRatesByKind } from './errorRates';
import { type GradeTables, gradeProduct } from './gradeProduct';
import { drawSharedErrors, type SharedErrors } from './sharedErrors';

/** One photo graded by itself, as a spread of its own: the same figures as of a product that it is the only photo of. */
export function gradePhoto(reading: SpreadReading, material: Material, errorRates: ErrorRatesByKind): GradeTables {
	return gradeProduct([[reading]], material, sharedBy(material, errorRates)).tables;
}

/** The errors last drawn for each material: photos that follow one another share them anyway. */
const lastDrawn = new WeakMap<Material, { readonly errorRates: ErrorRatesByKind; readonly shared: SharedErrors }>();

function sharedBy(material: Material, errorRates: ErrorRatesByKind): SharedErrors {
	const last = lastDrawn.get(material);
	if (last?.errorRates === errorRates) return last.shared;
	const shared = drawSharedErrors(material, errorRates, DEFAULT_DRAWS, DEFAULT_SEED);
	lastDrawn.set(material, { errorRates, shared });
	return shared;
}

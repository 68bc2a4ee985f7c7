import { perName } from '../quantity/perName';

/** The classes of pieces a photo is read into, in the order of their codes on a class map. */
export const MATERIAL_CLASSES = ['brightCopper', 'tinnedCopper', 'aluminium', 'insulation', 'other'] as const;
export type MaterialClass = (typeof MATERIAL_CLASSES)[number];

/** What the pieces of each class are called wherever a person reads of them. */
export const CLASS_WORDS: Readonly<Record<MaterialClass, string>> = {
	brightCopper: 'copper, bright or dull',
	tinnedCopper: 'copper, tinned',
	aluminium: 'aluminium',
	insulation: 'insulation',
	other: 'other',
};

/** Codes on a class map (one byte a pixel): 0 is the bare surface, 1 to 5 the material classes, 255 not judged. */
export const BACKGROUND = 0;
export const UNJUDGED = 255;
export const CLASS_CODE: Readonly<Record<MaterialClass, number>> = {
	brightCopper: 1,
	tinnedCopper: 2,
	aluminium: 3,
	insulation: 4,
	other: 5,
};

/** The parts a dry product is made of; they sum to one. `copper` is all metallic copper, the locked part included. */
export const COMPONENTS = ['copper', 'aluminium', 'insulation', 'other'] as const;
export type Component = (typeof COMPONENTS)[number];

/** What a grade is reported for: the components, and the free copper (what a photo can see) beside the whole. */
export const GRADED = ['copper', 'freeCopper', 'aluminium', 'insulation', 'other'] as const;
export type Graded = (typeof GRADED)[number];

/** What part of the table's output a bin caught. */
export const PRODUCT_ROLES = ['concentrate', 'middlings', 'tailings'] as const;
export type ProductRole = (typeof PRODUCT_ROLES)[number];

/** One value for each material class; the place is its own in `MATERIAL_CLASSES`. */
export function perClass<T>(of: (name: MaterialClass, place: number) => T): Record<MaterialClass, T> {
	return perName(MATERIAL_CLASSES, of);
}

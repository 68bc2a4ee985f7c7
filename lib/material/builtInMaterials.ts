import { DEFAULT_MATERIAL } from './defaultMaterial';
import type { Material } from './material';

/** Materials that every installation has; the first is used where none is named. */
export const BUILT_IN_MATERIALS: readonly [Material, ...Material[]] = [DEFAULT_MATERIAL];

/** The built-in material of that name, upper and lower case alike; undefined where there is none. */
export function builtInMaterial(name: string): Material | undefined {
	return BUILT_IN_MATERIALS.find((material) => material.name.toLowerCase() === name.trim().toLowerCase());
}

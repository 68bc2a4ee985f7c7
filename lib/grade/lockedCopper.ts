import type { Material } from '../material/material';

/** Locked copper per insulation, by mass, that nothing on the tray tells of. */
const UNTOLD = 0.003;

/**
 * Copper that insulation still holds, as kilograms of copper per kilogram of what the photo sees.
 *
 * A photo hardly sees it (a dot at a sleeve's end). Without a hand check the default is wide and rests on two facts of the
 * trade: pieces that still hold a core carry up to two thirds of their mass in copper but are a few in a hundred pieces, and in
 * middlings and tailings a quarter to four fifths of all copper is locked (common practice, no source). So there are two limits,
 *  - a tenth of the insulation's mass (five pieces in a hundred that hold twice their sleeve's mass), and
 *  - as much again as the free copper (half of all copper locked),
 * and the default is the smaller of them and 0.3 % of the insulation's mass, times a factor drawn between almost nothing and about
 * four. The 0.3 % are what pieces hold where no free copper lies beside them to tell of it: without them tailings that look clean
 * would claim to be so. Its size is our choice (no source); a strip check takes the place of all of it.
 *
 * @param freeCopper - mass of free copper, any unit
 * @param insulation - mass of insulation without cores, same unit
 * @param factor - drawn factor, mean near one (see drawLockedFactor)
 * @returns mass of locked copper, same unit
 */
export function defaultLockedCopper(freeCopper: number, insulation: number, factor: number): number {
	return factor * (Math.min(0.1 * insulation, freeCopper) + UNTOLD * insulation);
}

/**
 * Mass of locked copper when a hand check gave the locked share of the insulation pieces' mass, cores included.
 *
 * @param share - drawn locked share, 0 to under 1
 */
export function checkedLockedCopper(insulation: number, share: number): number {
	return (insulation * share) / (1 - share);
}

/** True where the material's locked share rests on a hand check rather than on the default. */
export function lockedIsChecked(material: Material): boolean {
	return material.lockedCopperPerInsulation !== undefined;
}

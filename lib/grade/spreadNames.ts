import { MATERIAL_CLASSES } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import { totalsOf } from './classTotals';

/** What a spread goes by among those of its bin. */
export interface SpreadName {
	/** Seeds what is drawn for the spread by itself. */
	readonly name: string;
	/** It reads like one before it to the last digit, as only one that is planned does. */
	readonly isRepeated: boolean;
}

/**
 * Names that seed what is drawn for each spread by itself: by what was read off it, so that the same photos give the same figures wherever
 * they are graded, and photos of other pieces draw apart. Spreads that read alike to the last digit, as planned ones do, are counted.
 *
 * @param spreads - one list a spread, one reading a photo; a spread goes by its first photo, since all show the same pieces
 */
export function spreadNames(spreads: readonly (readonly SpreadReading[])[]): readonly SpreadName[] {
	const met = new Map<string, number>();
	return spreads.map(([reading]) => {
		const read = reading === undefined ? '' : figuresOf(reading);
		const before = met.get(read) ?? 0;
		met.set(read, before + 1);
		return { name: `${read} ${before}`, isRepeated: before > 0 };
	});
}

function figuresOf(reading: SpreadReading): string {
	return MATERIAL_CLASSES.flatMap((name) => {
		const { areaMm2, widthAreaMm3 } = totalsOf(reading, name);
		return [areaMm2, widthAreaMm3];
	}).join(' ');
}

import type { ProductRole } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import type { Check } from './checkEntry';

/** Kinds of checks that say something about the material itself, and so about every photo read with it. */
export const TEACHING_KINDS = ['handSort', 'blank', 'strip'] as const satisfies readonly Check['kind'][];

/** A check of another run of the same material. */
export interface Lesson {
	/** In a sentence: `spread 2 of Middlings, run 3`. */
	readonly label: string;
	readonly check: Check;
	/** What kind of bin it was made on; a strip whose kind is not known counts for all. */
	readonly role?: ProductRole;
	/** The spread that was sorted or was a blank; absent for stripped insulation. */
	readonly reading?: SpreadReading;
}

/** Whether a check teaches the material. */
export function isTeaching({ kind }: { readonly kind: Check['kind'] }): boolean {
	return TEACHING_KINDS.some((one) => one === kind);
}

import { spreadSamplingOf } from '../grade/samplingPlan';
import { MATERIAL_CLASSES } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import type { PhotoWarning } from '../photo/photoWarning';
import type { CleanlinessRecord } from './recordSchema';

/**
 * How much of a product was looked at: granules, their area and about what they weigh.
 *
 * Several photos of one spread show the same pieces: their mean counts, once.
 *
 * @param spreads - one list a spread, one reading a photo; at least one of each
 */
export function amountsSeen(
	spreads: readonly (readonly SpreadReading[])[],
	material: Material,
): CleanlinessRecord['seen'] {
	const perSpread = (of: (reading: SpreadReading) => number) =>
		spreads.reduce((sum, photos) => sum + photos.reduce((total, one) => total + of(one), 0) / photos.length, 0);
	return {
		spreads: spreads.length,
		photos: spreads.reduce((sum, photos) => sum + photos.length, 0),
		granules: Math.round(
			perSpread(({ pieces }) => MATERIAL_CLASSES.reduce((sum, name) => sum + pieces[name].count, 0)),
		),
		areaMm2: perSpread(({ blocks }) =>
			blocks.reduce((sum, { areaMm2 }) => sum + MATERIAL_CLASSES.reduce((all, name) => all + areaMm2[name], 0), 0),
		),
		massG: spreads.length * spreadSamplingOf(spreads, material).spreadMassG,
	};
}

/**
 * Warnings of a product's photos, each once with the spreads it applies to, and from where to where its numbers go:
 * `Spreads 1, 3: A lamp mirrors in 2 to 5 % of the field. ...`.
 */
export function warningsBySpread(
	photos: readonly { readonly spread: number; readonly warnings: readonly PhotoWarning[] }[],
): readonly string[] {
	const alike = new Map<string, { spreads: Set<number>; messages: string[] }>();
	for (const { spread, warnings } of photos) {
		for (const { code, message } of warnings) {
			// numbers that name spreads go from nowhere to nowhere
			const wording = code === 'same-picture' ? message : message.replace(NUMBERS, '#');
			const found = alike.get(wording) ?? { spreads: new Set(), messages: [] };
			found.spreads.add(spread);
			found.messages.push(message);
			alike.set(wording, found);
		}
	}
	return [...alike.values()].map(({ spreads, messages }) => {
		const places = [...spreads].sort((a, b) => a - b).join(', ');
		return `${spreads.size === 1 ? 'Spread' : 'Spreads'} ${places}: ${together(messages)}`;
	});
}

/** A number of a warning, with what is said before a limit that only the largest one keeps. */
const NUMBERS = /(?:\bup to )?\d+(?:\.\d+)?/g;

/** Messages that differ in their numbers alone as one. */
function together(messages: readonly string[]): string {
	const numbers = messages.map((message) => message.match(NUMBERS) ?? []);
	let at = 0;
	return messages[0]!.replace(NUMBERS, () => {
		const given = numbers.map((ones) => ones[at]!).sort((a, b) => sizeOf(a) - sizeOf(b));
		at++;
		const [least, most] = [given[0]!, given.at(-1)!];
		return sizeOf(least) === sizeOf(most) || most.startsWith('up to') ? most : `${least} to ${most}`;
	});
}

function sizeOf(number: string): number {
	return Number(number.replace('up to ', ''));
}

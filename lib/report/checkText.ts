import type { CheckInput } from '../grade/checkEntry';
import { MATERIAL_CLASSES } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { CHECK_NAMES } from './checkSentences';
import { printShare, printTyped } from './format';
import { CLASS_NAMES } from './sentences';

/** A check as it was entered, in one line: `Magnet: 0.4 g pulled out of 52.0 g.` */
export function checkText(check: CheckInput, spread?: number): string {
	const name = CHECK_NAMES[check.kind];
	switch (check.kind) {
		case 'handSort': {
			const piles = MATERIAL_CLASSES.flatMap((one) => {
				const pile = check.piles[one];
				return pile === undefined ? [] : [`${CLASS_NAMES[one]} ${inGrams(pile)}`];
			});
			return `${name}${spread === undefined ? '' : ` of spread ${spread}`}: ${piles.join('; ')}.`;
		}
		case 'blank':
			return `${name}: ${spread === undefined ? 'a spread' : `spread ${spread}`} without ${(check.freeOf ?? ['copper', 'aluminium']).join(' or ')}.`;
		case 'moisture':
			return `${name}: ${inGrams(check.wet)} wet, ${inGrams(check.dry)} dry.`;
		case 'strip':
			return `${name}: ${check.picks} pieces, ${inGrams(check.before)}, ${inGrams(check.copper)} of it copper.`;
		case 'displacement':
			return check.suspended === undefined
				? `${name}: ${inGrams(check.dry)} dry pushed up ${withUnit(check.displacedMl ?? '', 'mL')}${check.stepMl === undefined ? '' : ` in steps of ${withUnit(check.stepMl, 'mL')}`}.`
				: `${name}: ${inGrams(check.dry)} dry, ${inGrams(check.suspended)} hung in water${check.waterC === undefined ? '' : ` of ${withUnit(check.waterC, '°C')}`}.`;
		case 'magnet':
			return `${name}: ${inGrams(check.pulled)} pulled out of ${inGrams(check.sample)}.`;
		case 'assay': {
			const from = check.laboratory === undefined ? '' : ` (${check.laboratory})`;
			return `${name}${from}: ${check.component ?? 'copper'} ${withSign(String(check.share))} with a standard uncertainty of ${withSign(String(check.u))}.`;
		}
	}
}

function inGrams(typed: string | number): string {
	return withUnit(typed, 'g');
}

/** As typed but for the decimal sign, which is the reader's; the unit is added where only a number stands. */
function withUnit(typed: string | number, unit: string): string {
	const text = withSign(String(typed));
	return /[a-z]/i.test(text) ? text : `${text} ${unit}`;
}

function withSign(typed: string): string {
	return printTyped(typed.replace(/^(\s*-?\d*),(?=\d+\D*$)/, '$1.'));
}

/**
 * What a blank takes from the copper, where its photo reads any: metal on it, or another spread named by a slip, would be lost.
 *
 * @param copper - what the photo of the blank reads by itself
 */
export function blankDoubt(copper: Estimate): string | undefined {
	if (copper.belowDetectionLimit) return undefined;
	return `Its photo by itself reads copper ${printShare(copper)}. All of that is taken for wrong calls from now on: if any of it is metal, remove this check.`;
}

/** Asked before a spread that reads copper counts as a blank: a slip would teach the material that copper is none. */
export function blankQuestion(spread: number, copper: Estimate): string | undefined {
	if (copper.belowDetectionLimit) return undefined;
	return `The photo of spread ${spread} reads copper ${printShare(copper)}, and a blank holds none. Choose the spread that was picked clean of metal. If it is this one, tick the box.`;
}

import type { ShotVerdict } from '../photo/judgeShot';
import { printPercent, printSentence } from './format';

/** Cover from which the full reading may warn; the quick look's advice to take it again begins later, since it counts shadows in. */
const MUCH_COVERED = 0.4;

/** A quick look in a few words: `Good picture`, `Do this better`. */
export function shotTitle({ advice, mat, tray }: ShotVerdict): string {
	if (advice !== undefined) return mat === undefined && tray === undefined ? 'No mat found' : 'One thing to do better';
	return tray === undefined ? 'Good picture' : 'No mat found: a plain tray?';
}

/** What a quick look found, and the one thing to do better. */
export function shotSentence({ advice, mat, tray, coverage }: ShotVerdict): string {
	if (advice !== undefined) return printSentence(advice.message);
	if (mat === undefined && tray !== undefined) {
		return "The likely floor is drawn. Set the tray's corners and its inner size after the photo is sent.";
	}
	const found = 'The mat is found, the picture is sharp and level.';
	if (coverage === undefined) return found;
	const [share, best] = [roughly(coverage), '; a third is best, so spread a smaller scoop next time'];
	return `${found} Roughly ${printPercent(share)} of the field is covered${share > MUCH_COVERED ? best : ''}.`;
}

/** To the nearest twentieth: a glance tells no more. */
function roughly(share: number): number {
	return Math.round(share * 20) / 20;
}

/**
 * How many spreads of a bin there are, and whether more would help.
 *
 * @param unread - photos of it that could not be read
 */
export function shotCountSentence(spreads: number, unread: number): string {
	if (spreads === 0) return unread === 0 ? 'No spread photographed yet.' : 'No spread counts yet.';
	const so = spreads === 1 ? '1 spread so far.' : `${spreads} spreads so far.`;
	return spreads < 3 ? `${so} Three tell more than one.` : so;
}

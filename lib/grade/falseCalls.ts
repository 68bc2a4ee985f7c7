import { COPPER_CODES, ERROR_CLASSES } from './errorRates';

/** Rounds after which another changes shares by less than a thousandth of themselves at error rates of a tenth. */
const ROUNDS = 4;

/** Every code a group by itself. */
const EACH: readonly number[] = Array.from({ length: ERROR_CLASSES }, (_, code) => code);
/** Bright and tinned copper as one group: what one of them is called the other is no false call of copper. */
export const COPPER_AS_ONE: readonly number[] = EACH.map((code) =>
	COPPER_CODES.includes(code) ? COPPER_CODES[0]! : code,
);

const [BRIGHT, TINNED] = COPPER_CODES as readonly [number, number];

/**
 * True area shares from the shares as called: false calls taken off, missed pieces put back.
 *
 * `(called - false) / (1 - missed)` per class, the false calls reckoned from the true shares of the round before: a few
 * rounds give the inverse of the error table (Gauss and Seidel), but never a negative share: where the drawn rates explain more
 * calls than there are, all of them are false in that world.
 *
 * Where the table knows how called areas stand to true ones (`areaGain`), edges are in that: what a class loses along its edges it
 * gains there as well, and so are the false calls of scenes that plainly hold the class. Then false calls are taken off by the fourth
 * power of how much of the calls they could be, all of them where a blank could show as much, hardly any where the class is plainly
 * there, and nothing is put back for what is missed. Of a class whose gain was not measured all of them are taken off.
 *
 * Where other classes explain more of one copper class's calls than there are, the rest is taken from the other copper class, by the
 * fourth power again of how much of all copper's calls they could be: a blank is told by the calls of all copper, and draws that forgave
 * each class its own surplus would claim copper in worlds that explain all these calls.
 *
 * @param called - shares of the field as called, bare surface first
 * @param rates - row-major square tables, `rates[offset + k * n + j]` the share of true class k called j
 * @param into - receives the true shares; bare surface is what is left
 * @param gains - where the table's area gains are applied to the result: 1 by code where the class's own was measured
 * @param groupOf - codes of one group are no false calls of each other
 * @source Rogan and Gladen, Am. J. Epidemiol. 107 (1978) 71, for two classes; taking off by a power is our own; of the powers 2,
 *   3, 4 and 9 cross-validation over 44 scenes likes the higher for all but tailings, and the fourth was taken
 */
export function takeOffFalseCalls(
	called: Float64Array,
	rates: Float64Array,
	offset: number,
	into: Float64Array,
	gains: Uint8Array | undefined,
	groupOf: readonly number[] = EACH,
): void {
	const n = called.length;
	for (let k = 0; k < n; k++) into[k] = called[k]!;
	for (let round = 0; round < ROUNDS; round++) {
		let pieces = 0;
		let copper = 0;
		let explained = 0;
		let owed = 0;
		for (let j = 1; j < n; j++) {
			let wrong = 0;
			for (let k = 0, at = offset + j; k < n; k++, at += n)
				if (groupOf[k] !== groupOf[j]) wrong += into[k]! * rates[at]!;
			const own = called[j]!;
			const part = gains?.[j] === 1 && wrong < own ? wrong / own : 1;
			const left = own - wrong * part * part * part;
			if (j === BRIGHT || j === TINNED) {
				const twin = j === BRIGHT ? TINNED : BRIGHT;
				const notCopper = groupOf[twin] === groupOf[j] ? wrong : wrong - into[twin]! * rates[offset + twin * n + j]!;
				copper += own;
				explained += notCopper;
				owed += Math.max(0, notCopper - own);
			}
			const found = gains === undefined ? rates[offset + j * n + j]! : 1;
			into[j] = Math.max(0, left) / found;
		}
		if (owed > 0) {
			const part = Math.min(1, explained / copper);
			for (const j of COPPER_CODES) into[j] = Math.max(0, into[j]! - owed * part * part * part);
		}
		for (let j = 1; j < n; j++) pieces += into[j]!;
		// all calls explained away is no answer where pieces lie: then they count as called
		if (pieces === 0) for (let j = 1; j < n; j++) into[j] = called[j]!;
		into[0] = Math.max(0, 1 - pieces);
	}
}

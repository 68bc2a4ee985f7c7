import { MATERIAL_CLASSES, type MaterialClass } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import { type Random, seededRandom } from '../quantity/seededRandom';
import { type ClassTotals, UNSEEN_PIECE } from './classTotals';
import type { SharedErrors } from './sharedErrors';

/** With more pieces than this half a piece is under a fifth of a hundredth, and no longer drawn. */
const MANY_PIECES = 400;

/**
 * Shares of the field as called, world after world: counting and unjudged area drawn.
 *
 * A class, as functions made anew for each spread would be compiled anew as well.
 */
export class CalledShares {
	private readonly counting: Random;
	private readonly shareOfHalf: () => number;
	private readonly pieceMm2: Float64Array;
	private readonly extra: Float64Array;
	private readonly isFixed: Uint8Array;
	/** What of the last world's shares are pieces that nobody saw, class by class; nothing where there are many. */
	readonly unseen = new Float64Array(MATERIAL_CLASSES.length);
	private readonly unjudged: UnjudgedArea | undefined;
	/** @param seen - area of each class, mm2, in the order of MATERIAL_CLASSES */
	constructor(
		reading: SpreadReading,
		private readonly seen: readonly number[],
		private readonly fieldMm2: number,
		{ seed, held }: SharedErrors,
		purpose: readonly string[],
		private readonly ofSpreads: number,
	) {
		this.counting = seededRandom(seed, 'half a piece', ...purpose);
		this.shareOfHalf = this.counting.gammas(0.5 / ofSpreads);
		const seenMm2 = seen.reduce((sum, area) => sum + area, 0);
		const unjudgedMm2 = reading.blocks.reduce((sum, block) => sum + block.unjudgedMm2, 0);
		const count = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
		// a piece of the class's own size, or, where none was seen, as chopping leaves them; no larger than pieces are here
		const meanMm2 = seenMm2 / Math.max(1, count);
		this.pieceMm2 = Float64Array.from(MATERIAL_CLASSES, (name, c) => {
			const own = reading.pieces[name].count;
			return Math.min(meanMm2, own > 0 ? seen[c]! / own : UNSEEN_PIECE[name].areaMm2);
		});
		const unsure = unsureIn(reading);
		const unsureMm2 = unsure.reduce((sum, area) => sum + area, 0);
		const like =
			unsureMm2 > 0
				? {
						shares: unsure.map((area) => area / unsureMm2),
						pieces: Math.min(1, unsureMm2 / unjudgedMm2),
						leastWeight: 0,
					}
				: { shares: seen.map((area) => area / Math.max(seenMm2, 1e-9)), pieces: 0.5, leastWeight: 0.1 };
		this.extra = Float64Array.from(like.shares, (share) => like.pieces * unjudgedMm2 * share);
		this.unjudged =
			unjudgedMm2 <= 0 || held.has('unjudged')
				? undefined
				: new UnjudgedArea(seededRandom(seed, 'unjudged', ...purpose), unjudgedMm2, like);
		const isHeld = held.has('sampling');
		this.isFixed = Uint8Array.from(MATERIAL_CLASSES, (name) =>
			isHeld || reading.pieces[name].count > MANY_PIECES ? 1 : 0,
		);
	}
	/** Writes the next world's shares, bare surface first. */
	next(called: Float64Array): void {
		const { seen, pieceMm2, extra, isFixed, unseen, ofSpreads, fieldMm2 } = this;
		this.unjudged?.handOut(extra);
		let pieces = 0;
		for (let c = 0; c < seen.length; c++) {
			// half a piece more or less of every class over all spreads (Jeffreys): none seen is not none there; gamma of shape 1/2
			const half =
				isFixed[c] !== 0 ? 0.5 / ofSpreads : ofSpreads === 1 ? 0.5 * this.counting.normal() ** 2 : this.shareOfHalf();
			const share = (seen[c]! + half * pieceMm2[c]! + extra[c]!) / fieldMm2;
			unseen[c] = isFixed[c] !== 0 ? 0 : (half * pieceMm2[c]!) / fieldMm2;
			called[c + 1] = share;
			pieces += share;
		}
		called[0] = Math.max(0, 1 - pieces);
	}
}

/** What unjudged area is taken to be like. */
interface Likeness {
	/** Shares of the classes in the part that pieces cover. */
	readonly shares: readonly number[];
	/** That part. */
	readonly pieces: number;
	/** What a class of no share may still have: nothing tells that it has none where shares are those of the judged area. */
	readonly leastWeight: number;
}

/** Smallest shape of a gamma deviate that is drawn: smaller ones are nought in nearly every draw. */
const LEAST_SHAPE = 0.001;

/**
 * Hands the unjudged area out among classes, draw by draw: mostly as the model's probabilities have it or, where there are none, like the
 * judged area; sometimes nearly all to one class. How much of it is bare surface is drawn as well, evenly where half is expected.
 */
class UnjudgedArea {
	private readonly weights: readonly (() => number)[];
	private readonly covered: () => number;
	private readonly bare: () => number;
	constructor(
		random: Random,
		private readonly unjudgedMm2: number,
		{ shares, pieces, leastWeight }: Likeness,
	) {
		const gammas = (shape: number) => random.gammas(Math.max(LEAST_SHAPE, shape));
		this.weights = shares.map((share) => gammas(leastWeight + 2 * share));
		this.covered = gammas(2 * pieces);
		this.bare = gammas(2 * (1 - pieces));
	}
	handOut(into: Float64Array): void {
		const { weights } = this;
		let all = 0;
		for (let c = 0; c < weights.length; c++) all += into[c] = weights[c]!();
		const covered = this.covered();
		const particles = (this.unjudgedMm2 * covered) / Math.max(covered + this.bare(), 1e-300);
		for (let c = 0; c < weights.length; c++) into[c] = all > 0 ? (into[c]! / all) * particles : 0;
	}
}

/** What the model's probabilities say of the unjudged area, mm2 of each class; noughts where there are none. */
function unsureIn({ blocks }: SpreadReading): number[] {
	return MATERIAL_CLASSES.map((name) => blocks.reduce((sum, { unsureMm2 }) => sum + (unsureMm2?.[name] ?? 0), 0));
}

/** Area of each class on a spread, mm2, in the order of MATERIAL_CLASSES. */
export function seenAreas(totals: Readonly<Record<MaterialClass, ClassTotals>>): number[] {
	return MATERIAL_CLASSES.map((name) => totals[name].areaMm2);
}

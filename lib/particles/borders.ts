import { CLASS_CODE } from '../material/classes';
import type { BlockSums } from './spreadReading';

/** Widest slit of what is not judged across which pieces border: blur leaves the model unsure where classes meet. Our choice; 3 or 6 do as well. */
const WIDEST_SLIT_PX = 4;
/** Where less is bare than this nothing can be said of chance. */
const LEAST_BARE = 0.05;

/**
 * Borders along the rows of a class map, block of the field by block: lines across a picture meet outlines as often as these are long.
 *
 * @source S. Chiu, D. Stoyan, W. Kendall, J. Mecke, Stochastic Geometry and its Applications, 3rd ed. 2013 (from memory)
 */
export class Borders {
	/** Of each block: of metal with bare surface, of all else with it, of metal with all else. */
	private readonly counts: Float64Array;
	private lastEnd = -1;
	private lastBlock = 0;
	private lastKind = 0;
	constructor(blocks: number) {
		this.counts = new Float64Array(3 * blocks);
	}
	/** Add the next run of pieces' pixels along a row; of those between it and the one before `unjudgedPx` are not judged. Hot loop. */
	add(code: number, from: number, end: number, block: number, unjudgedPx: number): void {
		const kind = code <= CLASS_CODE.aluminium ? 0 : 1;
		if (this.lastEnd < 0 || from - this.lastEnd > unjudgedPx) {
			this.endRow();
			this.counts[3 * block + kind]!++;
		} else if (kind !== this.lastKind && unjudgedPx <= WIDEST_SLIT_PX) this.counts[3 * block + 2]!++;
		this.lastEnd = end;
		this.lastBlock = block;
		this.lastKind = kind;
	}
	/** The last run borders on nothing more. */
	endRow(): void {
		if (this.lastEnd >= 0) this.counts[3 * this.lastBlock + this.lastKind]!++;
		this.lastEnd = -1;
	}
	/**
	 * Borders of metal with all else over those by chance; undefined where that brings none.
	 *
	 * What lies on top borders on what lies beneath: dropped at random on the other kind as many times as often as on bare surface as that
	 * kind covers more than is bare. Where two kinds meet one lies on top, so it is half of both together.
	 */
	overChance(blocks: readonly BlockSums[]): number | undefined {
		let [seen, byChance] = [0, 0];
		for (const [b, { areaMm2, unjudgedMm2, fieldMm2 }] of blocks.entries()) {
			const metal = areaMm2.brightCopper + areaMm2.tinnedCopper + areaMm2.aluminium;
			const rest = areaMm2.insulation + areaMm2.other;
			const bare = Math.max(LEAST_BARE * fieldMm2, fieldMm2 - unjudgedMm2 - metal - rest);
			seen += this.counts[3 * b + 2]!;
			byChance += (this.counts[3 * b]! * rest + this.counts[3 * b + 1]! * metal) / (2 * bare);
		}
		return byChance > 0 ? seen / byChance : undefined;
	}
}

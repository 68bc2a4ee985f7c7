import { CLASS_CODE, MATERIAL_CLASSES, type MaterialClass } from '../material/classes';
import type { Surface } from '../photo/surface';
import type { FieldLine } from './fieldGeometry';
import { seenTooLarge, slantAt } from './slantedView';
import type { BlockSums } from './spreadReading';

/** Side of the squares that the field is cut into, mm: a few lengths of the longest common pieces. Common practice, no source. */
const BLOCK_MM = 17;
/** Class codes run from 0 (surface) to the number of classes. */
const CODES = MATERIAL_CLASSES.length + 1;

/** Area and place of the pixel that is looked at (`FieldLine.place`). */
const place = new Float64Array(3);

/** Sums per block and class code while the pixels come in. */
export class BlockGrid {
	private readonly across: number;
	private readonly down: number;
	private readonly perMmX: number;
	private readonly perMmY: number;
	private readonly borders: Int32Array;
	readonly fieldMm2: Float64Array;
	readonly unjudgedMm2: Float64Array;
	unsureMm2: Float64Array | undefined;
	/** Of that what is piece all the same. */
	rivalledMm2 = 0;
	private readonly areaMm2: Float64Array;
	private readonly widthAreaMm3: Float64Array;
	private readonly sheetAreaMm2: Float64Array;
	constructor(private readonly surface: Surface) {
		const { fieldWidthMm, fieldHeightMm } = surface;
		this.across = Math.max(1, Math.round(fieldWidthMm / BLOCK_MM));
		this.down = Math.max(1, Math.round(fieldHeightMm / BLOCK_MM));
		this.perMmX = this.across / fieldWidthMm;
		this.perMmY = this.down / fieldHeightMm;
		this.borders = new Int32Array(this.across + this.down + 3);
		const count = this.across * this.down;
		this.fieldMm2 = new Float64Array(count);
		this.unjudgedMm2 = new Float64Array(count);
		this.areaMm2 = new Float64Array(count * CODES);
		this.widthAreaMm3 = new Float64Array(count * CODES);
		this.sheetAreaMm2 = new Float64Array(count * CODES);
	}
	/** Add the field's pixels of one row of the photo: what lies between the blocks' borders at once. */
	addField(line: FieldLine, from: number, to: number): void {
		const borders = this.borders;
		let count = 0;
		for (let k = 0; k <= this.across; k++) {
			const column = Math.ceil(line.columnAtX(k / this.perMmX));
			if (column > from && column < to) borders[count++] = column;
		}
		for (let k = 0; k <= this.down; k++) {
			const column = Math.ceil(line.columnAtY(k / this.perMmY));
			if (column > from && column < to) borders[count++] = column;
		}
		borders[count++] = to;
		let left = from;
		for (const right of borders.subarray(0, count).sort()) {
			const middle = (left + right) >> 1;
			if (right > left && line.areaMm2(middle) > 0)
				this.fieldMm2[this.blockAt(line.xMm(middle), line.yMm(middle))]! += line.areaOf(left, right);
			left = right;
		}
	}
	blockAt(xMm: number, yMm: number): number {
		const column = within(Math.floor(xMm * this.perMmX), this.across);
		return within(Math.floor(yMm * this.perMmY), this.down) * this.across + column;
	}
	add(block: number, code: number, areaMm2: number, widthAreaMm3: number, sheetAreaMm2: number): void {
		const k = block * CODES + code;
		this.areaMm2[k]! += areaMm2;
		this.widthAreaMm3[k]! += widthAreaMm3;
		this.sheetAreaMm2[k]! += sheetAreaMm2;
	}
	/** Add the pixels of a run that is not judged, from one column to another (not included). */
	addUnjudged(line: FieldLine, from: number, to: number): void {
		for (let x = from; x < to; x++) {
			line.place(x, place);
			this.unjudgedMm2[this.blockAt(place[1]!, place[2]!)]! += place[0]!;
		}
	}
	/** Add the pixels of a run that lies in several blocks, from one column to another (not included). Hot loop. */
	addEach(
		line: FieldLine,
		from: number,
		to: number,
		offset: number,
		code: number,
		cover: Uint8Array | undefined,
		widthPx: Float32Array,
		first: number,
		roundPart: number,
		sheetPart: number,
	): void {
		const { areaMm2, widthAreaMm3, sheetAreaMm2 } = this;
		for (let x = from, k = first; x < to; x++, k++) {
			line.place(x, place);
			const pixelMm2 = place[0]!;
			if (pixelMm2 === 0) continue;
			const coveredMm2 = cover === undefined ? pixelMm2 : (pixelMm2 * cover[x - offset]!) / 255;
			const at = this.blockAt(place[1]!, place[2]!) * CODES + code;
			areaMm2[at]! += coveredMm2;
			widthAreaMm3[at]! += coveredMm2 * widthPx[k]! * Math.sqrt(pixelMm2) * roundPart;
			sheetAreaMm2[at]! += coveredMm2 * sheetPart;
		}
	}
	/**
	 * Put other areas in the place of those added up, at the width and sheet share that the added ones have: the block's, else the field's.
	 * Pixels without a label may count in these areas all the same; then only what no area holds, bare surface included, stays unjudged.
	 */
	takeAreas(areaMm2: Float64Array): void {
		const [unlabelled, uncounted] = [sumOf(this.unjudgedMm2), sumOf(this.fieldMm2) - sumOf(areaMm2)];
		const left = Math.max(0, Math.min(1, uncounted / Math.max(unlabelled, 1e-9)));
		for (let block = 0; block < this.unjudgedMm2.length; block++) this.unjudgedMm2[block]! *= left;
		const field = { area: new Float64Array(CODES), width: new Float64Array(CODES), sheet: new Float64Array(CODES) };
		let pieces = 0;
		let pieceWidths = 0;
		for (let k = 0; k < areaMm2.length; k++) {
			field.area[k % CODES]! += this.areaMm2[k]!;
			field.width[k % CODES]! += this.widthAreaMm3[k]!;
			field.sheet[k % CODES]! += this.sheetAreaMm2[k]!;
			pieces += this.areaMm2[k]!;
			pieceWidths += this.widthAreaMm3[k]!;
		}
		const broadened = broadenedBy(field, areaMm2, 1 / this.surface.pxPerMm);
		for (let k = 0; k < areaMm2.length; k++) {
			const code = k % CODES;
			const own = this.areaMm2[k]!;
			const seen = own > 0 ? own : field.area[code]!;
			const width = own > 0 ? this.widthAreaMm3[k]! : field.width[code]!;
			const sheet = own > 0 ? this.sheetAreaMm2[k]! : field.sheet[code]!;
			// a class without one piece of its own is as wide as pieces are here
			const meanMm = seen > 0 ? width / seen : pieceWidths / Math.max(pieces, 1e-9);
			this.areaMm2[k] = areaMm2[k]!;
			this.widthAreaMm3[k] = areaMm2[k]! * meanMm * broadened[code]!;
			this.sheetAreaMm2[k] = seen > 0 ? (areaMm2[k]! * sheet) / seen : 0;
		}
	}
	/** @param stubbiness - width over length of each class's pieces */
	blocks(stubbiness: Readonly<Record<MaterialClass, number>>): BlockSums[] {
		const blocks: BlockSums[] = [];
		for (let block = 0; block < this.fieldMm2.length; block++) blocks.push(this.block(block, stubbiness));
		return blocks;
	}
	private block(block: number, stubbiness: Readonly<Record<MaterialClass, number>>): BlockSums {
		const areaMm2 = ofBlock(this.areaMm2, block);
		const widthAreaMm3 = ofBlock(this.widthAreaMm3, block);
		const slant = this.slantIn(block);
		for (const name of MATERIAL_CLASSES) {
			const seen = widthAreaMm3[name];
			widthAreaMm3[name] = seen > 0 ? seen / this.tooLarge(name, slant, seen / areaMm2[name], stubbiness[name]) : 0;
		}
		return {
			areaMm2,
			widthAreaMm3,
			sheetAreaMm2: ofBlock(this.sheetAreaMm2, block),
			unjudgedMm2: this.unjudgedMm2[block]!,
			...(this.unsureMm2 && { unsureMm2: ofBlock(this.unsureMm2, block) }),
			fieldMm2: this.fieldMm2[block]!,
		};
	}
	/** Slant of the look at the block's middle. */
	private slantIn(block: number): number {
		const [column, row] = [block % this.across, Math.floor(block / this.across)];
		return slantAt(this.surface, (column + 0.5) / this.perMmX, (row + 0.5) / this.perMmY);
	}
	private tooLarge(name: MaterialClass, slant: number, widthMm: number, stubbiness: number): number {
		const { camera } = this.surface;
		return camera === undefined ? 1 : seenTooLarge(name, slant, widthMm, stubbiness, camera.heightMm);
	}
}

/** Sums of one block by class. */
function ofBlock(sums: Float64Array, block: number): Record<MaterialClass, number> {
	const at = (name: MaterialClass) => sums[block * CODES + CLASS_CODE[name]]!;
	return {
		brightCopper: at('brightCopper'),
		tinnedCopper: at('tinnedCopper'),
		aluminium: at('aluminium'),
		insulation: at('insulation'),
		other: at('other'),
	};
}

/**
 * Factor on the width of copper, the fine wire, where its labels cover more than its area by the map's own rule: the blurred rim carries
 * the label as well, so the breadth is too large by as much, but by no more than half a pixel on either side. Where labels cover less,
 * whole pieces may be missing, and widths stand.
 */
function broadenedBy(
	labelled: { readonly area: Float64Array; readonly width: Float64Array },
	areaMm2: Float64Array,
	pixelMm: number,
): Float64Array {
	const area = new Float64Array(CODES);
	for (let k = 0; k < areaMm2.length; k++) area[k % CODES]! += areaMm2[k]!;
	const factor = new Float64Array(CODES).fill(1);
	for (const code of [CLASS_CODE.brightCopper, CLASS_CODE.tinnedCopper]) {
		if (!(labelled.area[code]! > area[code]!)) continue;
		const breadthMm = labelled.width[code]! / labelled.area[code]!;
		const least = Math.max(0, 1 - pixelMm / breadthMm);
		factor[code] = Math.max(least, area[code]! / labelled.area[code]!);
	}
	return factor;
}

function sumOf(numbers: Float64Array): number {
	let sum = 0;
	for (let k = 0; k < numbers.length; k++) sum += numbers[k]!;
	return sum;
}

function within(index: number, count: number): number {
	return Math.max(0, Math.min(count - 1, index));
}

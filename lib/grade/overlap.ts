import { CLASS_CODE, MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import { heightPerWidth } from '../particles/slantedView';
import type { BlockSums, SpreadReading } from '../particles/spreadReading';

/**
 * What overlap takes from a class's sum of width times area, were its pieces dropped at random, as logarithms of true over seen.
 *
 * `fromOrder(o)` = `level + o * tilted` runs from an order by chance (0) to the thicker of two pieces always more likely on top (1).
 */
export interface OverlapOfClass {
	readonly level: number;
	readonly tilted: number;
	/** The part of `level` that pieces of the class's own take: it can come back as width. */
	readonly own: number;
}

/** Beyond this cover nothing can be said of what lies below. */
const MOST_COVER = 0.95;
/** The thicker lies on top 4 to 1 at twice the height, as cross sections. Our choice. */
const HEIGHT_POWER = 2;
/** A piece that a thin strand crosses is parted in two, which read two thirds as wide on the mean: the integral of u^2 + (1 - u)^2. */
const LOST_WIDTH = 1 / 3;
/** Most that parting counts: finer strands do not part a piece on a photo. */
const MOST_PARTED = 3;

/** Whether each class is metal, in their order. */
const IS_METAL = MATERIAL_CLASSES.map((name) => CLASS_CODE[name] <= CLASS_CODE.aluminium);

/**
 * What chance overlap hides of each class on one spread, block of the field by block.
 *
 * Pieces dropped at random until they cover the share c of a block amount to x = -ln(1 - c) layers. Of a class that X layers may lie
 * on, (1 - exp(-X))/X is seen; X = x where every piece is as likely above as below. Which of two classes lies on top is not known: by
 * chance, or the thicker one, since thin pieces slip under. A piece crossed by one much thinner loses width as well, since it is parted.
 * Metal and all else lie on each other no oftener than they border: wires slip off lumps and come to lie beside them.
 *
 * @source Boolean model and order by chance (dead leaves): S. Chiu, D. Stoyan, W. Kendall, J. Mecke, Stochastic Geometry and its
 *   Applications, 3rd ed. 2013; thick pieces rise: A. Rosato et al., Phys. Rev. Lett. 58 (1987) 1038 (from memory); for two classes worked out here
 */
export function overlapByClass(
	reading: SpreadReading,
	material: Material,
): Readonly<Record<MaterialClass, OverlapOfClass>> {
	const { blocks } = reading;
	const sizes = MATERIAL_CLASSES.map((name) => {
		const area = sumOf(blocks, 'areaMm2', name);
		const sheetShare = area > 0 ? sumOf(blocks, 'sheetAreaMm2', name) / area : 0;
		const widthMm = area > 0 ? sumOf(blocks, 'widthAreaMm3', name) / area / Math.max(0.05, 1 - sheetShare) : 0;
		const sheetMm = material.classes[name].shape.sheetThicknessMm?.value ?? 0;
		return { widthMm, heightMm: sheetShare * sheetMm + (1 - sheetShare) * widthMm * heightPerWidth(name) };
	});
	const bordering = borderingOf(reading);
	const sums = MATERIAL_CLASSES.map(() => ({ area: 0, level: 0, ordered: 0, own: 0 }));
	const areas = new Float64Array(MATERIAL_CLASSES.length);
	for (const block of blocks) addBlock(block, areas, sizes, bordering, sums);
	return perClass((name) => {
		const { area, level, ordered, own } = sums[MATERIAL_CLASSES.indexOf(name)]!;
		if (!(area > 0)) return { level: 0, tilted: 0, own: 0 };
		return { level: level / area, tilted: (ordered - level) / area, own: own / area };
	});
}

/**
 * How often metal and all else border, of how often they would by chance: what borders crosses or lies side by side, so none to all of this
 * is drawn. Never more than chance, since rims called falsely only lengthen borders. It counts by the pieces of the rarer kind, against one
 * that lies as chance has it.
 */
function borderingOf({ bordersOverChance, pieces }: SpreadReading): number {
	if (bordersOverChance === undefined) return 1;
	const metal = pieces.brightCopper.count + pieces.tinnedCopper.count + pieces.aluminium.count;
	const count = Math.min(metal, pieces.insulation.count + pieces.other.count);
	return Math.min(1, (count * bordersOverChance + 1) / (count + 1));
}

function sumOf(blocks: readonly BlockSums[], of: 'areaMm2' | 'sheetAreaMm2' | 'widthAreaMm3', name: MaterialClass) {
	let sum = 0;
	for (const block of blocks) sum += block[of][name];
	return sum;
}

/** Adds what overlap takes from each class in one block, times its area; `areas` is written over. */
function addBlock(
	{ areaMm2, fieldMm2 }: BlockSums,
	areas: Float64Array,
	sizes: readonly Size[],
	bordering: number,
	sums: readonly { area: number; level: number; ordered: number; own: number }[],
): void {
	let seen = 0;
	for (let k = 0; k < areas.length; k++) seen += areas[k] = areaMm2[MATERIAL_CLASSES[k]!];
	if (!(seen > 0)) return;
	const layers = -Math.log(1 - Math.min(MOST_COVER, seen / Math.max(fieldMm2, seen)));
	for (let k = 0; k < areas.length; k++) {
		const sum = sums[k]!;
		const level = takenFrom(k, areas, sizes, bordering, layers / seen, 0);
		const ordered = takenFrom(k, areas, sizes, bordering, layers / seen, 1);
		sum.area += areas[k]!;
		sum.level += areas[k]! * level.all;
		sum.ordered += areas[k]! * ordered.all;
		sum.own += areas[k]! * level.own;
	}
}

interface Size {
	readonly widthMm: number;
	readonly heightMm: number;
}

/** Logarithm of what is taken from class `k` in one block, and the part of it that its own pieces take. */
function takenFrom(
	k: number,
	areas: Float64Array,
	sizes: readonly Size[],
	bordering: number,
	layersPerMm2: number,
	order: number,
) {
	let above = 0;
	let counted = 0;
	let own = 0;
	for (let j = 0; j < areas.length; j++) {
		const area = areas[j]!;
		if (area === 0) continue;
		const meets = IS_METAL[j] === IS_METAL[k] ? 1 : bordering;
		const on = 2 * meets * layersPerMm2 * area * chanceOnTop(sizes[j]!.heightMm, sizes[k]!.heightMm, order);
		const parted = j === k ? 0 : LOST_WIDTH * (sizes[k]!.widthMm / Math.max(sizes[j]!.widthMm, 1e-9));
		above += on;
		counted += on * (1 + Math.min(MOST_PARTED, parted));
		if (j === k) own = on;
	}
	if (!(above > 0)) return { all: 0, own: 0 };
	const hidden = -Math.log((1 - Math.exp(-above)) / above);
	return { all: (hidden * counted) / above, own: (hidden * own) / above };
}

/** How often a piece of one height lies above one of another. */
function chanceOnTop(heightMm: number, otherMm: number, order: number): number {
	const [own, other] = [heightMm ** HEIGHT_POWER, otherMm ** HEIGHT_POWER];
	const byHeight = own + other > 0 ? own / (own + other) : 0.5;
	return 0.5 + order * (byHeight - 0.5);
}

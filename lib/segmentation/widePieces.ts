import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import type { ClassMap } from './classMap';
import type { FirstLook } from './firstLook';
import { joinRuns, type Runs, runsOf, runsWhere } from './labelRuns';
import { isThinnerThan } from './thinParts';

/**
 * From this width on, mm, a copper piece may pass for the surface with a model that looks about: it sees 9.5 mm about a pixel (models/CARD.md), and of
 * what fills most of its view it has met little. As far as a former model saw.
 */
const MODEL_REACH_MM = 5.5;

/**
 * Share of a piece that is wide where it is one: a disc of twice the reach has nine tenths. Strands that run into each other by colour, as on
 * crowded pictures of few pixels a millimetre, make one region over the whole field, of which a tenth or less is wide by chance.
 */
const WIDE_SHARE = 0.5;

/** A first look asks for a part of the side, since rims blur into the surface. */
const LOOK_PART = 0.8;

/**
 * Whether a photo may hold pieces that `putWidePiecesBack` looks for, so that spreads of chopped cable, which
 * hold none, need not be read by thresholds as well.
 *
 * @param look - of the photo (firstLook.ts)
 */
export function mayHoldWidePieces({ labels, width, height, pxPerMm }: FirstLook): boolean {
	const copper = labels.map((label) => (label === CLASS_CODE.brightCopper ? label : BACKGROUND));
	const side = sideOf(LOOK_PART * MODEL_REACH_MM * pxPerMm);
	return isThinnerThan(side, copper, width, height).some((isThin, i) => isThin === 0 && copper[i] !== BACKGROUND);
}

/** The odd number of pixels that is next below, or one more. */
function sideOf(px: number): number {
	return 2 * Math.floor(px / 2) + 1;
}

/**
 * The model's map with pieces of copper's colour put back that are too wide for the model to see as pieces: where it calls bare surface
 * what by colour and shine is copper, that is believed, or left unjudged where the light is not known. A piece is of one material: where
 * the model takes most of such a piece for surface or copper, the rest of it, its rim mostly, is copper too. A tangle that is wide in places, and
 * that the model sees as copper with gaps, is no such piece: its gaps are bare, and what lies among it is what the model says.
 *
 * @param byColour - the same box read by thresholds
 * @param isLightKnown - whether neutrals or the surface told the light's colour
 * @returns the map itself where there is no such piece, as on any spread of chopped cable
 */
export function putWidePiecesBack(map: ClassMap, byColour: ClassMap, pxPerMm: number, isLightKnown: boolean): ClassMap {
	const { width, height } = map;
	if (byColour.width !== width || byColour.height !== height)
		throw new RangeError(
			`both maps must be of one box, got ${width} x ${height} and ${byColour.width} x ${byColour.height}`,
		);
	const copper = CLASS_CODE.brightCopper;
	const called = byColour.labels.map((label) => (label === copper ? copper : BACKGROUND));
	const side = sideOf(MODEL_REACH_MM * pxPerMm);
	const runs = runsWhere(runsOf(called, width, height), () => true);
	const isThin = isThinnerThan(side, called, width, height);
	const { count, region } = joinRuns(runs);
	const isWide = widePieces(isThin, map.labels, runs, region, count);
	if (!isWide.includes(1)) return map;
	const isOneWithRim = surfaceOrCopper(map.labels, runs, region, count);
	const labels = map.labels.slice();
	const px = map.areas?.px.slice();
	for (let run = 0; run < runs.count; run++) {
		if (isWide[region[run]!] === 0) continue;
		for (let i = runs.start[run]!; i < runs.end[run]!; i++) {
			const before = labels[i]!;
			if (before === copper || (before !== BACKGROUND && isOneWithRim[region[run]!] === 0)) continue;
			labels[i] = isLightKnown ? copper : UNJUDGED;
			if (px === undefined || map.areas === undefined || before === UNJUDGED) continue;
			const { tilePx, across } = map.areas;
			const tile = Math.floor(Math.floor(i / width) / tilePx) * across + Math.floor((i % width) / tilePx);
			const at = tile * (MATERIAL_CLASSES.length + 1);
			px[at + before] = Math.max(0, px[at + before]! - 1);
			if (isLightKnown) px[at + copper]! += 1;
		}
	}
	const areas = map.areas === undefined || px === undefined ? {} : { areas: { ...map.areas, px } };
	return { ...map, labels, ...areas };
}

/** 1 for each region that squares as wide as the model sees cover enough of, or that is wide somewhere and more surface than copper to the model. */
function widePieces(isThin: Uint8Array, labels: Uint8Array, runs: Runs, region: Int32Array, count: number): Uint8Array {
	const [wide, all, bare] = [new Int32Array(count + 1), new Int32Array(count + 1), new Int32Array(count + 1)];
	for (let run = 0; run < runs.count; run++) {
		const own = region[run]!;
		all[own]! += runs.end[run]! - runs.start[run]!;
		for (let i = runs.start[run]!; i < runs.end[run]!; i++) {
			if (isThin[i] === 0) wide[own]! += 1;
			if (labels[i] === BACKGROUND) bare[own]! += 1;
			else if (labels[i] === CLASS_CODE.brightCopper) bare[own]! -= 1;
		}
	}
	return Uint8Array.from(wide, (px, own) => (px > 0 && (px >= WIDE_SHARE * all[own]! || bare[own]! > 0) ? 1 : 0));
}

/** 1 for each region that the model calls surface or copper over more pixels than any other piece. */
function surfaceOrCopper(labels: Uint8Array, runs: Runs, region: Int32Array, count: number): Uint8Array {
	const lead = new Int32Array(count + 1);
	for (let run = 0; run < runs.count; run++) {
		for (let i = runs.start[run]!; i < runs.end[run]!; i++) {
			const label = labels[i]!;
			if (label !== UNJUDGED) lead[region[run]!]! += label === BACKGROUND || label === CLASS_CODE.brightCopper ? 1 : -1;
		}
	}
	return Uint8Array.from(lead, (ahead) => (ahead > 0 ? 1 : 0));
}

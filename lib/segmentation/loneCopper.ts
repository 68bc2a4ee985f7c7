import { BACKGROUND, CLASS_CODE, MATERIAL_CLASSES, UNJUDGED } from '../material/classes';
import type { ClassMap } from './classMap';
import type { FirstLook } from './firstLook';

/**
 * Where the model leaves this much more of a field bare than colour does, the picture is of something that it never met (it was trained on spreads on
 * even trays): a cat, a cup and a flower gave 0.54 to 0.61 when tried, 84 rendered trays that it had not seen 0.2 at most and 0.38 once (green plastic under
 * greenish tubes, where colour takes the tray for pieces). A round number between.
 */
const MOST_APART = 0.45;

/**
 * Whether model and colour differ so widely about what is bare surface that the model's copper needs a second voice.
 *
 * @param map - the model's
 * @param look - the same field by colour
 */
export function isUnlikeASpread(map: ClassMap, look: FirstLook): boolean {
	return bareShare(map) - bareShare(look) > MOST_APART;
}

function bareShare({ labels }: ClassMap): number {
	return labels.reduce((sum, label) => sum + Number(label === BACKGROUND), 0) / labels.length;
}

/**
 * The model's map with what it alone calls bright copper left unjudged, area and all.
 *
 * @param byColour - the same box read by thresholds
 */
export function leaveLoneCopperOut(map: ClassMap, byColour: ClassMap): ClassMap {
	const copper = CLASS_CODE.brightCopper;
	const isLone = (label: number, i: number) => label === copper && byColour.labels[i] !== copper;
	const labels = map.labels.map((label, i) => (isLone(label, i) ? UNJUDGED : label));
	if (map.areas === undefined) return { ...map, labels };
	const { tilePx, across, px: before } = map.areas;
	const px = before.slice();
	const [called, kept] = [new Float64Array(px.length), new Float64Array(px.length)];
	map.labels.forEach((label, i) => {
		if (label !== copper) return;
		const tile = Math.floor(Math.floor(i / map.width) / tilePx) * across + Math.floor((i % map.width) / tilePx);
		called[tile]! += 1;
		kept[tile]! += Number(labels[i] === copper);
	});
	for (let tile = 0; tile * (MATERIAL_CLASSES.length + 1) < px.length; tile++)
		px[tile * (MATERIAL_CLASSES.length + 1) + copper]! *= kept[tile]! / Math.max(1, called[tile]!);
	return { ...map, labels, areas: { ...map.areas, px } };
}

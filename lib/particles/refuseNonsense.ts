import { TrayError } from '../errors/TrayError';
import { MATERIAL_CLASSES } from '../material/classes';
import type { PhotoWarning } from '../photo/photoWarning';
import type { Surface } from '../photo/surface';
import { pixelsOf } from '../segmentation/labelRuns';
import { hiddenShareAt } from './judgeSpread';
import type { Measured } from './measure';
import type { SpreadReading } from './spreadReading';

/**
 * Nothing that a granulator's screen lets through is this wide, mm: its holes are of some millimetres (common practice, no source),
 * and pieces that touch still leave gaps of their own size.
 */
const WIDEST_MM = 12;
/** A picture is refused when more than this share of the pieces' area is wider. */
const MOST_WIDE = 1 / 3;
/** And when more of it fits no class than fits one, by colours. */
const MOST_UNJUDGED = 1 / 2;
/**
 * The model leaves unjudged, or calls stone and steel, what it never met: of 62 rendered spreads at most 17 % of what was found, of a portrait, a cat, a cup,
 * a flower, a temple, a clock, an engine and stained tissue 36 to 100 %. Round shares between, set with those pictures in view: unjudged, and with stone and steel.
 */
const MOST_UNJUDGED_BY_MODEL = 1 / 3;
const MOST_STRANGE_TO_MODEL = 2 / 5;

/** Past this hidden share a picture hides more of what was laid out than it shows: a heap, which settles with the fine metal below. */
const MOST_HIDDEN = 1 / 2;

/** Faults that alone may make a spread look like none. */
const FAULTS: ReadonlySet<string> = new Set(['blurred', 'grainy', 'too-dark', 'too-bright', 'size-unlike']);

/**
 * Refuse a picture that is no spread of chopped cable: nothing lies in the field, or what was found is heaped, far too wide, or
 * mostly fits no class.
 *
 * @param judged - the picture's faults: what makes a heap of one layer is said first of what to do
 * @throws TrayError `nothing-spread`: no grade is better than one from nonsense
 */
export function refuseNonsense(
	measured: Measured,
	reading: SpreadReading,
	surface: Surface,
	judged: readonly PhotoWarning[] = [],
): void {
	const fault = judged.find(({ code }) => FAULTS.has(code));
	const first = fault === undefined ? '' : `${fault.message} `;
	const pieces = MATERIAL_CLASSES.reduce((sum, name) => sum + reading.pieces[name].count, 0);
	if (pieces === 0) {
		throw new TrayError(
			'nothing-spread',
			'Nothing is spread in the field: no piece was found, so there is no grade.',
			'Spread a scoop in one layer and take the photo again, or check that the corners lie on the tray.',
		);
	}
	if (hiddenShareAt(reading.coverageFraction) > MOST_HIDDEN) {
		throw new TrayError(
			'nothing-spread',
			`Pieces cover ${Math.round(100 * reading.coverageFraction)} % of the field, so more of them lie hidden than are seen: this is a heap, not a spread. There is no grade.`,
			`${first}Spread a smaller scoop in one layer and take the photo again. If it is one layer, the surface was taken for pieces: keep shadows off it, use the printed mat, or set the corners again.`,
		);
	}
	const found = measured.widthPx.length;
	const widest = WIDEST_MM * surface.pxPerMm;
	const wide = widerThan(widest, measured.widthPx);
	if (wide <= MOST_WIDE * found && !isStrange(measured, reading)) return;
	throw new TrayError(
		'nothing-spread',
		`This does not look like a spread of chopped cable: ${
			wide > MOST_WIDE * found
				? `much of what was found is wider than ${WIDEST_MM} mm`
				: 'too much of what was found is neither metal nor insulation of cable'
		}. There is no grade.`,
		`${first}Check that it is the right picture, that no shadow of a hand or of the phone lies on it, and that the corners and the tray’s size are right. If so, use the printed mat or better light, or teach the colours.`,
	);
}

/** Whether too much of what was found fits no class that cable is made of. */
function isStrange(measured: Measured, { method, blocks }: SpreadReading): boolean {
	const [found, unjudged] = [measured.widthPx.length, pixelsOf(measured.unjudged)];
	if (method === 'threshold') return unjudged > MOST_UNJUDGED * (unjudged + found);
	const all = blocks.reduce((sum, { areaMm2 }) => sum + MATERIAL_CLASSES.reduce((s, name) => s + areaMm2[name], 0), 0);
	const other = all > 0 ? (blocks.reduce((sum, { areaMm2 }) => sum + areaMm2.other, 0) / all) * found : 0;
	return (
		unjudged > MOST_UNJUDGED_BY_MODEL * (unjudged + found) ||
		unjudged + other > MOST_STRANGE_TO_MODEL * (unjudged + found)
	);
}

function widerThan(widest: number, widths: Float32Array): number {
	let wide = 0;
	// Hot loop.
	for (let k = 0; k < widths.length; k++) if (widths[k]! > widest) wide++;
	return wide;
}

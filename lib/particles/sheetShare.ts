/** What tells a cut wire from a flake of sheet, from above. */
export interface Outline {
	readonly meanWidthMm: number;
	readonly lengthMm: number;
	/** Standard deviation of the local width over its mean, area-weighted. */
	readonly widthScatter: number;
}

/**
 * How likely a piece of aluminium was cut from sheet (foil, tape, sheath) rather than from wire, 0 to 1.
 *
 * Wire has one width along its whole length and granulators leave it longer than wide; a flake is about as broad as long
 * and tapers every way. Lengths up to 1.5 widths speak for sheet and from 2.5 widths for wire; a local width that scatters
 * by more than 15 % speaks against wire (drawn wire keeps its width within a few per cent, ends included some 10 %).
 * Between the marks the share runs in a straight line, so that a doubtful piece counts partly as each and no small change
 * of the picture flips it.
 * Limit: short thick wire ends and strips of foil are told wrong; pieces that touch are judged as one.
 *
 * @source reasoning from shape, marks chosen by it and not fitted; bounded by tests/particles/sheetShare.test.ts
 */
export function sheetShare({ meanWidthMm, lengthMm, widthScatter }: Outline): number {
	const elongation = lengthMm / meanWidthMm;
	const compact = ramp(2.5 - elongation, 0, 1);
	const uneven = ramp(widthScatter, 0.1, 0.25);
	// two signs that do not hang on each other: wire only where neither speaks for sheet
	return 1 - (1 - compact) * (1 - uneven);
}

function ramp(value: number, from: number, to: number): number {
	return Math.min(1, Math.max(0, (value - from) / (to - from)));
}

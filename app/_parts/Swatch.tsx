import type { ClassStyle } from '@/lib/report/classPalette';

/** Colour, letter and line style of a class in one mark. */
export function Swatch({ style }: { readonly style: ClassStyle }) {
	return (
		<svg width="52" height="26" viewBox="0 0 52 26" aria-hidden="true">
			<rect x="1" y="1" width="28" height="24" fill={style.colour} stroke="#000" strokeWidth="2" />
			<text x="15" y="18" textAnchor="middle" fontSize="14" fontWeight="700" fill={style.textColour}>
				{style.letter}
			</text>
			<line x1="34" x2="52" y1="13" y2="13" stroke="currentColor" strokeWidth="3" strokeDasharray={style.dash} />
		</svg>
	);
}

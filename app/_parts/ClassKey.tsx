import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { CLASS_STYLES, type ClassStyle, UNJUDGED_STYLE } from '@/lib/report/classPalette';
import { CLASS_NAMES } from '@/lib/report/sentences';

/** What lines and letters on a picture mean. */
export function ClassKey() {
  return (
    <ul className="legend">
      {MATERIAL_CLASSES.map((name) => (
        <li key={name} className="swatch">
          <Swatch style={CLASS_STYLES[name]} />
          {CLASS_NAMES[name]}
        </li>
      ))}
      <li className="swatch">
        <Swatch style={UNJUDGED_STYLE} />
        Not decided
      </li>
    </ul>
  );
}

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

'use client';

import { useState } from 'react';
import { MATERIAL_CLASSES, type MaterialClass } from '@/lib/material/classes';
import { CLASS_STYLES, type ClassStyle, UNJUDGED_STYLE } from '@/lib/report/classPalette';
import { CLASS_NAMES } from '@/lib/report/sentences';

type Shown = MaterialClass | 'unjudged' | 'all';

/** The photo beside what the program saw; one class alone on request, so that it can be read without telling colours. */
export function ClassPicture({ id, version }: { readonly id: string; readonly version: string }) {
  const [shown, show] = useState<Shown>('all');
  const query = shown === 'all' ? '' : `&class=${shown}`;
  const name = shown === 'all' ? 'all classes' : shown === 'unjudged' ? 'not judged' : CLASS_NAMES[shown];
  return (
    <>
      <div className="picture-pair">
        <figure>
          <img src={`/api/photos/${id}/picture`} alt="The spread as photographed" />
          <figcaption>The photo, upright.</figcaption>
        </figure>
        <figure>
          <img src={`/api/photos/${id}/classes?v=${version}${query}`} alt={`What the program saw: ${name}`} />
          <figcaption>What the program saw: {name}.</figcaption>
        </figure>
      </div>
      <fieldset className="plain">
        <legend className="field-label">Show in the right-hand picture</legend>
        <ul className="legend">
          <LegendButton label="All classes" pressed={shown === 'all'} press={() => show('all')} />
          {MATERIAL_CLASSES.map((one) => (
            <LegendButton
              key={one}
              label={CLASS_NAMES[one]}
              style={CLASS_STYLES[one]}
              pressed={shown === one}
              press={() => show(one)}
            />
          ))}
          <LegendButton
            label="Not judged"
            style={UNJUDGED_STYLE}
            pressed={shown === 'unjudged'}
            press={() => show('unjudged')}
          />
        </ul>
      </fieldset>
    </>
  );
}

function LegendButton(props: {
  readonly label: string;
  readonly style?: ClassStyle;
  readonly pressed: boolean;
  readonly press: () => void;
}) {
  const { label, style, pressed, press } = props;
  return (
    <li>
      <button type="button" className="choice-button" aria-pressed={pressed} onClick={press}>
        {style === undefined ? null : <Swatch style={style} />}
        {label}
      </button>
    </li>
  );
}

/** Colour, letter and line style of a class in one mark. */
function Swatch({ style }: { readonly style: ClassStyle }) {
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

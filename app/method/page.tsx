import type { Metadata } from 'next';
import Link from 'next/link';
import copperSun from './copper-sun.webp';
import copperWood from './copper-wood.webp';
import tinnedLamp from './tinned-lamp.webp';

export const metadata: Metadata = { title: 'Method' };

const COLUMNS = ['Bright copper', 'Tinned', 'Aluminium', 'Insulation'] as const;

/** Medians that `npm run bench:accuracy` printed for the trays of models/render/make_fresh.py. */
const MEDIANS = [
  ['Model', 'mats', '1.2', '0.5', '0.6', '1.6'],
  ['Model', 'plain trays', '0.5', '0.3', '0.6', '2.1'],
  ['Colours alone', 'mats', '8.7', '1.7', '0.0', '5.5'],
  ['Colours alone', 'plain trays', '2.1', '0.6', '2.5', '21.9'],
  ['Plain hue rule', 'mats', '20.4', '–', '–', '–'],
  ['Plain hue rule', 'plain trays', '32.1', '–', '–', '–'],
] as const;

const WORST = [
  {
    picture: tinnedLamp,
    says: 'Much tinned wire under a warm lamp: copper read 14 points too high, tinned 24 too low. Both count as copper, so the grade came out right.',
  },
  {
    picture: copperWood,
    says: 'Copper on light wood, no grey patches: copper read 13 points too low. A third of the copper is taken for the tray, and nothing tells the light.',
  },
  {
    picture: copperSun,
    says: 'Copper in low sun: 10 points too low, insulation 9 too high. Dull wire is taken for brown plastic.',
  },
] as const;

/** How the estimate is made, and what it cannot see. */
export default function Method() {
  return (
    <>
      <h1>Method</h1>
      <p className="lead">How a figure comes about, what its range holds, and what a photo cannot see.</p>
      <section className="narrow">
        <h2>From photo to areas</h2>
        <ol>
          <li>
            The photo is turned upright and its colours are converted to one colour space. The original is kept
            unchanged.
          </li>
          <li>
            The mat&rsquo;s four corner marks, or the four corners you set on a tray, turn pixels into millimetres.
            Pixels are judged where they were shot; each counts with its own area.
          </li>
          <li>
            The grey patches, or a tray&rsquo;s own neutral colour, take the colour of the light out. Where there is
            neither, what one likely light makes copper and another insulation is left not decided.
          </li>
          <li>
            Each pixel in the field is called bare surface, bright copper, tinned copper, aluminium, insulation or
            other: by a small trained model that looks at some 6 mm around it, or, where its files are missing or you
            choose so, by the material&rsquo;s colours alone. The photo&rsquo;s page says which. What fits nothing is
            left not decided.
          </li>
          <li>
            The picture is checked for blur, shine, exposure, scale, tilt and crowding. What fails is a warning beside
            the photo. A picture that shows no spread of chopped cable gets no grade.
          </li>
        </ol>
      </section>
      <section className="narrow">
        <h2>From areas to masses</h2>
        <p>
          Mass is area times thickness times density. Thickness follows from the width seen from above: a lying round
          wire is on average &pi;/4 of its width thick, a sheet has its own thickness, a granule a share of its width.
          The figure &ldquo;if all pieces were equally thick&rdquo; leaves this out; it stands beside only to show the
          difference.
        </p>
      </section>
      <section className="narrow">
        <h2>What the range holds</h2>
        <ul>
          <li>scatter from spread to spread, and between parts of one spread,</li>
          <li>the chance that a class was mistaken for another, as measured on pictures with known truth,</li>
          <li>where within a pixel the rims of a piece lie, which is much of a thin strand&rsquo;s breadth,</li>
          <li>
            densities, shapes and the copper locked in insulation, drawn once for the whole run: they do not average out
            over bins,
          </li>
          <li>the scales&rsquo; steps, moisture and tare.</li>
        </ul>
        <p>
          All are drawn some thousands of times through the whole chain. Ninety-five in a hundred of the results lie in
          the range; it may be lopsided, and it never passes 0 or 100 %.
        </p>
      </section>
      <section className="narrow">
        <h2>The balance</h2>
        <p>
          Every part that goes in with the feed must come out in the products or in the stated loss. Weights and grades
          are changed as little as their uncertainties allow until that holds. The chi-square test says whether the
          changes are larger than the uncertainties explain; then one measurement is probably wrong, and the page names
          the one to look at first. Without a feed grade the feed&rsquo;s make-up is worked out from the products.
        </p>
      </section>
      <section className="narrow">
        <h2>How well pixels are read</h2>
        <p>
          Measured on twenty rendered trays that neither the model nor its error rates had seen, with lamps, colours and
          products of their own; real photographs may be harder, and two numbers of the rule that names pixels were
          chosen with these trays in view, as was how colours alone find strands. Off by, in points of the pieces&rsquo;
          area, in the middle case (aimed at: 1 on mats, 2.5 on plain trays):
        </p>
        <table className="stack">
          <thead>
            <tr>
              <th scope="col">Read by</th>
              <th scope="col">On</th>
              {COLUMNS.map((name) => (
                <th scope="col" key={name}>
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {MEDIANS.map(([by, on, ...points]) => (
              <tr key={by + on}>
                <th scope="row">{by}</th>
                <td data-head="On">{on}</td>
                {points.map((point, k) => (
                  // the order of the columns is fixed
                  <td key={COLUMNS[k]} data-head={COLUMNS[k]}>
                    {point}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
        <p>
          Clean insulation was called bright copper over 0.04 to 0.27 % of its area (aimed at: 0.3, or 1 where the
          plastic has copper&rsquo;s own colour). These error rates are in every range.
        </p>
        <h3>What limits the rest</h3>
        <ul>
          <li>
            Tinned wire: one pixel in three is found as such. Its colour is that of paper in shade and of aluminium, and
            its strands are a few pixels wide. Under a warm lamp it is called bright copper.
          </li>
          <li>
            Red to brown plastic: 1.4 % of its pixels are called copper (aimed at: 1), most of them along edges where
            the lens mixes it with copper; inside pieces it is 0.4 % on mats. Where plastic is a quarter as likely as
            copper or more, the pixel is left not decided.
          </li>
          <li>
            Pixels found, surface and classes weighing alike, of those judged: 0.72 on mats and 0.75 on trays (aimed at:
            0.70); bright copper 0.87 and 0.79, insulation 0.91 (aimed at: 0.88). Strands thinner than a pixel are lost
            in blur.
          </li>
          <li>
            Free-lying hair wire is read 5 % too large in the middle case (aimed at: 15 %), 20 % on the two pictures
            full of it: the lens widens it, and the model cannot tell blur from wire.
          </li>
          <li>Where much aluminium lies on a mat it is read 5 to 9 points too low: half of its pixels are found.</li>
          <li>A tray of wood or orange plastic hides copper.</li>
          <li>
            Colours alone are for when the model is missing: they tell copper from neutral surfaces, little else, call
            11 % of red to brown plastic copper, and lose a third of the hair wire. Their ranges are too narrow: of
            twenty, 15 held the truth here and 12 on other trays. Teach them, or sort by hand.
          </li>
        </ul>
        <h3>The three worst of the twenty</h3>
        <p>Where most pixels are wrong: the picture, what was read, what lies there. Rendered, not photographed.</p>
        {WORST.map(({ picture, says }) => (
          <figure key={picture.src}>
            <img
              src={picture.src}
              width={picture.width}
              height={picture.height}
              alt="Three squares side by side: picture, classes as read, true classes"
              loading="lazy"
              style={{ maxWidth: '100%', height: 'auto' }}
            />
            <figcaption>{says}</figcaption>
          </figure>
        ))}
        <p>
          Blue: bright copper. Light blue: tinned. Yellow: aluminium. Orange: insulation. Grey: other. Black: not
          decided.
        </p>
      </section>
      <section className="narrow">
        <h2>What a photo cannot see</h2>
        <ul>
          <li>
            copper inside insulation (it is estimated, and widens the range), the core of copper-clad aluminium, tin
            content,
          </li>
          <li>what lies under other pieces: spread one layer thick,</li>
          <li>strands thinner than a few pixels, fines, oil, moisture,</li>
          <li>
            whether the scoop stands for the bin: copper sinks in a shaken bucket, and a scoop from the top reads lean.
          </li>
        </ul>
        <p>
          None seen is not zero: figures that cannot be told from nothing are given as below detection, with the limit.
        </p>
      </section>
      <section className="narrow">
        <h2>Words</h2>
        <p>
          Grade, recovery, closure and the others: <Link href="/help/glossary">words of the trade</Link>.
        </p>
      </section>
    </>
  );
}

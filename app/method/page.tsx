import type { Metadata } from 'next';

export const metadata: Metadata = { title: 'Method' };

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
          <li>The grey patches, or a tray&rsquo;s own neutral colour, take the colour of the light out.</li>
          <li>
            Each pixel in the field is called bare surface, bright copper, tinned copper, aluminium, insulation or
            other: by a small trained model that looks at some 6 mm around it, or, where its files are missing or you
            choose so, by the material&rsquo;s colours alone. The photo&rsquo;s page says which. What fits nothing is
            left unjudged.
          </li>
          <li>
            The picture is checked for blur, shine, exposure, scale, tilt and crowding. What fails is a warning beside
            the photo.
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
          Measured on rendered pictures with known truth that the method had not seen; real photographs may be harder.
          On mats the model is off by 1.7 points of the pieces&rsquo; area for copper, 0.4 for aluminium and 1.4 for
          insulation in the middle case; on plain trays by 1.7, 1.4 and 1.6. Tinned strands on white paper are mostly
          missed. Colours alone do far worse: 5 points for copper on mats, 10 or more on plain trays, so figures read
          that way carry wide ranges and need a look. These error rates are in every range.
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
        <dl className="figures">
          <dt>Grade</dt>
          <dd>share of a part in the dry mass of a product</dd>
          <dt>Recovery</dt>
          <dd>share of the feed&rsquo;s part that a product holds</dd>
          <dt>Yield</dt>
          <dd>dry mass of a product over that of the feed</dd>
          <dt>Upgrade ratio</dt>
          <dd>grade of a product over grade of the feed</dd>
          <dt>Closure</dt>
          <dd>mass of all products over that of the feed, before anything is adjusted</dd>
          <dt>Spread</dt>
          <dd>a sub-sample laid out one layer thick and photographed</dd>
          <dt>Free copper</dt>
          <dd>copper without the part locked in insulation: what a photo can see</dd>
        </dl>
      </section>
    </>
  );
}

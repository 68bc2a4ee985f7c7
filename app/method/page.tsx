import type { Metadata } from 'next';
import Link from 'next/link';
import { printNumber, printPlain } from '@/lib/report/format';
import {
	areaRows,
	FIGURED_CLASSES,
	printFound,
	printOff,
	printOr,
	printSpan,
	rangesSentence,
	readingFiguresSchema,
	worstSentence,
} from '@/lib/report/readingFigures';
import { CLASS_NAMES } from '@/lib/report/sentences';
import measured from './readingFigures.json';
import photo1 from './worst-1.webp';
import classes1 from './worst-1-classes.webp';
import photo2 from './worst-2.webp';
import classes2 from './worst-2-classes.webp';
import photo3 from './worst-3.webp';
import classes3 from './worst-3-classes.webp';

export const metadata: Metadata = { title: 'Method' };

const FIGURES = readingFiguresSchema.parse(measured);
const { model, threshold } = FIGURES;
const WORST_PICTURES = [
	[photo1, classes1],
	[photo2, classes2],
	[photo3, classes3],
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
						Each pixel in the field is called bare surface, copper (bright or dull), tinned copper, aluminium,
						insulation or other: by a small trained model that looks at some 9 mm around it, or, where its files are
						missing or you choose so, by the material&rsquo;s colours alone. The photo&rsquo;s page says which. What
						fits nothing is left not decided.
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
					<li>
						scatter from spread to spread (by one spread the bin is taken for well mixed), and between parts of one,
					</li>
					<li>
						the chance that a class was mistaken for another, as measured on pictures with known truth; of what colours
						alone read, also how much copper whole lights and surfaces hide from them,
					</li>
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
					Measured on {FIGURES.pictures} rendered trays that neither the model nor its error rates were made with, with
					lamps, colours and products of their own; some later steps were shaped with such trays in view, and real
					photographs may be harder. Off by, in points of the pieces&rsquo; area, in the middle case (aimed at: 1 on
					mats, {printPlain(2.5)} on plain trays):
				</p>
				<table className="stack">
					<thead>
						<tr>
							<th scope="col">Read by</th>
							<th scope="col">On</th>
							{FIGURED_CLASSES.map((name) => (
								<th scope="col" key={name} className="number">
									{CLASS_NAMES[name]}
								</th>
							))}
						</tr>
					</thead>
					<tbody>
						{areaRows(FIGURES).map(([by, on, points]) => (
							<tr key={by + on}>
								<th scope="row">{by}</th>
								<td data-head="On">{on}</td>
								{FIGURED_CLASSES.map((name, k) => (
									<td key={name} className="number" data-head={CLASS_NAMES[name]}>
										{points[k]}
									</td>
								))}
							</tr>
						))}
					</tbody>
				</table>
				<p className="hint">
					The plain hue rule calls copper whatever has copper&rsquo;s hue and enough colour; it names no other class
					(&ndash;).
				</p>
				<p>
					The model called clean insulation copper, bright or dull, over {printSpan(model?.blankPercent ?? [])} of its
					area (aimed at: {printPlain(0.3)}), and over {printSpan(model?.copperColouredBlankPercent ?? [])} where the
					plastic has copper&rsquo;s own colour (aimed at: 1). These error rates are in every range.{' '}
					{rangesSentence(model?.ranges)}
				</p>
				<h3>What limits the rest</h3>
				<ul>
					<li>
						Tinned wire: {printFound(model?.mat?.found?.tinnedCopper)} of its pixels are found as such on mats. Its
						colour is that of paper in shade and of aluminium, and its strands are a few pixels wide. Some is called
						bright or dull copper, which counts as copper as well.
					</li>
					<li>
						Red to brown plastic: {printOr(model?.redBrownPercent, 1)} % of its pixels are called copper (aimed at: 1),
						most of them along edges where the lens mixes it with copper; inside pieces it is{' '}
						{printOr(model?.redBrownInsidePercent, 1)} %. Where plastic is a quarter as likely as copper or more, the
						pixel is left not decided.
					</li>
					<li>
						Copper, bright or dull: {printFound(model?.mat?.found?.brightCopper)} of its pixels are found on mats and{' '}
						{printFound(model?.tray?.found?.brightCopper)} on trays; insulation:{' '}
						{printFound(model?.mat?.found?.insulation)} and {printFound(model?.tray?.found?.insulation)} (aimed at: 88
						in 100). Surface and every class counting alike, the share found is {printOr(model?.mat?.balanced, 2)} and{' '}
						{printOr(model?.tray?.balanced, 2)} (aimed at: {printNumber(0.7, 2)}). Strands thinner than a pixel are lost
						in blur.
					</li>
					<li>
						Free-lying hair wire is read {printOff(model?.hairPercentOff)} in the middle case (aimed at: within 15 %):
						the lens spreads it over more pixels than it covers.
					</li>
					<li>
						Aluminium on mats: {printFound(model?.mat?.found?.aluminium)} of its pixels are found; where much of it lies
						it tends to be read too low: on two mats in a low sun by a dozen points, which counted as copper.
					</li>
					<li>A tray of wood or orange plastic hides copper.</li>
					<li>
						Colours alone are for when the model is missing: they tell copper from neutral surfaces, little else, call{' '}
						{printOr(threshold?.redBrownPercent, 0)} % of red to brown plastic copper, and read hair wire{' '}
						{printOff(threshold?.hairPercentOff)}. {rangesSentence(threshold?.ranges)} Teach them, or sort by hand.
					</li>
				</ul>
				<h3>The three that the model read worst</h3>
				<p>
					Of each the 20 mm where most pixels are wrong: the picture, what was read, what lies there. Rendered, not
					photographed.
				</p>
				{WORST_PICTURES.map(([photo, classes], k) => {
					const worst = FIGURES.worst[k];
					return (
						<figure key={photo.src}>
							<span
								style={{
									display: 'grid',
									gridTemplateColumns: `${photo.width}fr ${classes.width}fr`,
									gap: 6,
									maxWidth: photo.width + classes.width + 6,
								}}
							>
								<img
									src={photo.src}
									alt="The spread as shot"
									loading="lazy"
									style={{ width: '100%', height: 'auto' }}
								/>
								<img
									src={classes.src}
									width={classes.width}
									height={classes.height}
									alt="Two squares side by side: classes as read, true classes"
									loading="lazy"
									style={{ width: '100%', height: 'auto' }}
								/>
							</span>
							{worst && <figcaption>{worstSentence(worst)}</figcaption>}
						</figure>
					);
				})}
				<p>
					Blue: copper, bright or dull. Light blue: copper, tinned. Yellow: aluminium. Orange: insulation. Grey: other.
					Black: not decided.
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

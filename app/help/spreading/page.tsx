import type { Metadata } from 'next';
import { SpreadDrawing } from '../HelpDrawings';
import { HelpPage } from '../HelpPage';

export const metadata: Metadata = { title: 'Take a sample and spread it' };

/** Sampling and spreading, with the cautions for it. */
export default function Spreading() {
	return (
		<HelpPage href="/help/spreading">
			<p className="lead narrow">
				The photo can only be as good as the scoop. Most of the error of a grade is made here.
			</p>
			<section className="narrow">
				<h2>The scoop</h2>
				<ol>
					<li>Mix the bin slightly damp: shaken dry or wet, copper sinks to the bottom within seconds.</li>
					<li>
						Take ten small scoops from ten places and depths, not one large one from the top. Do not pick; the hand
						prefers big bright pieces.
					</li>
					<li>Pour them together, halve the heap by quarters until a spread&rsquo;s worth is left, keep the rest.</li>
					<li>Do it again for a second and a third spread. Three spreads tell more than three photos of one.</li>
				</ol>
			</section>
			<section className="narrow">
				<h2>The spread</h2>
				<SpreadDrawing />
				<ol>
					<li>Wash mat and tray: hair wire of the last sample sticks.</li>
					<li>Let the sample drain, best dry it. Water shines and hides colours.</li>
					<li>Sprinkle from a hand&rsquo;s height and spread with a card: single pieces, gaps between them.</li>
					<li>
						Cover a third of the field at most: on an A5 mat some 6 g of plastic or 10 to 20 g of copper, on A4 twice as
						much (chops of 1 to 3 mm, reckoned on rendered trays). Less is no fault. Pull tangles of hair wire apart
						with tweezers.
					</li>
					<li>Push pieces off the frame to the inside. Leave the grey patches and corner marks free.</li>
				</ol>
			</section>
			<div className="caution">
				<p>
					Take samples from the bins, never from a moving deck. Copper hair goes into skin and eyes: gloves, closed
					glasses, no compressed air. Dry chops make dust that can hold lead: keep the heap damp, dry only the spread,
					wash before eating.
				</p>
			</div>
		</HelpPage>
	);
}

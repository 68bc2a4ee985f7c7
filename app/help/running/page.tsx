import type { Metadata } from 'next';
import { HelpPage } from '../HelpPage';

export const metadata: Metadata = { title: 'Run the table' };

/** Common practice of the trade; textbook ranges of full-size ore tables from memory (Wills, Taggart). */
const KNOBS = [
	['Slope, across', 'plastic leaves sooner; too much takes fine copper with it', 'a few degrees'],
	['Slope, end', 'metal must climb: cleaner, slower', '0 to 2 degrees'],
	['Stroke length', 'coarser feed moves; too long mixes the bed', '10 to 25 mm'],
	['Strokes', 'fine feed moves; too fast blurs the bands', '240 to 325 per minute'],
	['Wash water', 'plastic is carried off; too much carries copper', 'a thin film, no dry spot'],
	['Feed rate', 'more goes through; too much buries the riffles', 'until the bands just stay sharp'],
] as const;

/** What is seen in a bin, what it mostly comes from, what to try first. Common practice, no source. */
const SIGNS = [
	['Fine wire in the tailings', 'it floats', 'wetting agent; feed below the surface'],
	['Coarse copper in the tailings', 'too much water, slope or feed', 'less of one of them'],
	['Plastic in the concentrate', 'too little water or slope, or the cut lies too far in', 'move the cut first'],
	['Middlings grow', 'the cuts lie too far apart, or the feed surges', 'steady the feed, then move a cut'],
	['Pieces with a core everywhere', 'the chop is too coarse', 'chop finer: the table cannot part them'],
] as const;

/** Running the table so that its bins tell something: wetting, knobs, catching, middlings. */
export default function Running() {
	return (
		<HelpPage href="/help/running">
			<p className="lead narrow">
				The figures are as good as the run. Common practice of the trade; ranges are of textbooks and of ore tables, so
				start there and trust your own runs.
			</p>
			<section className="narrow">
				<h2>Wet the feed</h2>
				<ol>
					<li>
						Copper wire that is not wetted floats, up to more than a millimetre thick, and rides into the tailings.
						Wetted it sinks at any size.
					</li>
					<li>
						Stir the feed into water with dish liquid or rinse aid. As little as works: begin with a few drops to a
						bucket, drop in a pinch of hair wire, add until it sinks. Foam means too much, and foam carries copper.
					</li>
					<li>Leave it to soak, minutes to hours; oily feed in hot water. Note agent and dose with the run.</li>
					<li>Feed it as a slurry below the surface, not dry from above. Skim what still floats, dry it, weigh it.</li>
				</ol>
			</section>
			<section className="narrow">
				<h2>Turn one knob at a time</h2>
				<table className="stack">
					<caption>What more of each does</caption>
					<thead>
						<tr>
							<th scope="col">Knob</th>
							<th scope="col">Turned up</th>
							<th scope="col">Where to start</th>
						</tr>
					</thead>
					<tbody>
						{KNOBS.map(([knob, does, start]) => (
							<tr key={knob}>
								<th scope="row">{knob}</th>
								<td className="words" data-head="Turned up">
									{does}
								</td>
								<td className="words" data-head="Where to start">
									{start}
								</td>
							</tr>
						))}
					</tbody>
				</table>
				<p>Richer feed widens the copper band: the cut has to follow it.</p>
			</section>
			<section className="narrow">
				<h2>Catch the bins</h2>
				<ol>
					<li>Tare each bin wet, as it will be used. Weigh the feed.</li>
					<li>Wait some minutes until the bands stand still. What comes before does not belong in the bins.</li>
					<li>Catch all bins over the same time. Stop feed and water together.</li>
					<li>Take the bins away before you brush or hose the deck: that bed is no product.</li>
					<li>
						After a change wash table, launders and bins through, or mark the run as the first after a change: hair wire
						of the last one hangs everywhere.
					</li>
				</ol>
			</section>
			<section className="narrow">
				<h2>Middlings</h2>
				<p>
					Feed them again, by themselves or mixed into the next feed, while that still gives concentrate. When it does
					not, what is left are mostly pieces with their core: they need another chop, not another pass. &ldquo;Rerun
					the middlings?&rdquo; on a run works out what it brings and how much load it adds. Strip and weigh some pieces
					to know how much copper sits in them.
				</p>
			</section>
			<section className="narrow">
				<h2>What a bin shows</h2>
				<table className="stack">
					<caption>Try one thing, then run again</caption>
					<thead>
						<tr>
							<th scope="col">Seen</th>
							<th scope="col">Mostly because</th>
							<th scope="col">Try</th>
						</tr>
					</thead>
					<tbody>
						{SIGNS.map(([seen, cause, remedy]) => (
							<tr key={seen}>
								<th scope="row">{seen}</th>
								<td className="words" data-head="Mostly because">
									{cause}
								</td>
								<td className="words" data-head="Try">
									{remedy}
								</td>
							</tr>
						))}
					</tbody>
				</table>
			</section>
			<div className="caution">
				<p>
					Hands, sleeves and phones stay off a moving deck. Detergent and round wire make the floor slippery. Used water
					holds metal and detergent: recirculate it, never let it into the ground or a storm drain.
				</p>
			</div>
		</HelpPage>
	);
}

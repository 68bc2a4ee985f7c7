import type { Metadata } from 'next';
import Link from 'next/link';
import { printPercent, printShare } from '@/lib/report/format';
import { MassDrawing } from '../HelpDrawings';
import { HelpPage } from '../HelpPage';

export const metadata: Metadata = { title: 'How the grade is worked out' };

/** From pixels to a grade with its range, in short. */
export default function GradeHelp() {
	return (
		<HelpPage href="/help/grade">
			<section className="narrow">
				<ol>
					<li>
						The mat&rsquo;s marks turn pixels into millimetres, its grey patches take the colour of the light out.
					</li>
					<li>Each pixel is called bare surface or one of five classes, or is left not decided.</li>
					<li>For every piece area and width are measured. Width gives thickness, and density gives mass.</li>
					<li>Copper locked in insulation is added by estimate, until you strip a few pieces and weigh it.</li>
					<li>The copper&rsquo;s mass over the mass of all pieces is the grade.</li>
				</ol>
				<MassDrawing />
			</section>
			<section className="narrow">
				<h2>How to read it</h2>
				<p>
					&ldquo;Copper {printShare({ value: 0.961, low: 0.94, high: 0.98 })}&rdquo; says: best value first, and the
					truth lies between the two others 95 times in 100. Where a range is wide, the page &ldquo;Why this
					range?&rdquo; of the product says what it is made of and what would narrow it most.
				</p>
				<p>
					&ldquo;Below detection (under {printPercent(0.009, 1)})&rdquo; says: nothing was told apart from the
					program&rsquo;s own mistakes, and more than that limit would have been. The limit counts the pieces too: none
					among 1000 pieces leaves 3 in 1000 open. &ldquo;Can&rsquo;t be told (0 to 100 %)&rdquo; says: the photos show
					so little of it, or so unclearly, that nearly any share would fit. Spread more, or check by hand or
					laboratory.
				</p>
				<p>
					&ldquo;As measured&rdquo; is what photos and scales said; &ldquo;reconciled&rdquo; is the smallest change that
					lets all weights and metals agree.
				</p>
			</section>
			<section className="narrow">
				<h2>What it is not</h2>
				<p>
					A photo sees areas. It sees no chemistry, oil, moisture or tin, and nothing below another piece. The grade is
					an estimate, not an assay. The long form is on the page <Link href="/method">Method</Link>.
				</p>
			</section>
		</HelpPage>
	);
}

import type { Metadata } from 'next';
import Link from 'next/link';
import { MatCheckDrawing } from '../HelpDrawings';
import { HelpPage } from '../HelpPage';

export const metadata: Metadata = { title: 'Print and check the mat' };

/** Printing the mat and measuring what came out. */
export default function MatHelp() {
	return (
		<HelpPage href="/help/mat">
			<MatCheckDrawing />
			<section className="narrow">
				<ol>
					<li>
						Get the sheet on the page <Link href="/mat">Mat</Link>. A5 suits fine wire: the smaller the sheet, the more
						pixels on each strand.
					</li>
					<li>Print at 100 % (actual size), greyscale, on plain matt paper. Never &ldquo;fit to page&rdquo;.</li>
					<li>
						Measure the check line with a steel rule, to half a millimetre, and enter it on the page Mat. One per cent
						on the line is one per cent on every width and two on every area; shares hardly notice.
					</li>
					<li>Tape the sheet flat to a board. Film and laminate only if they do not shine.</li>
					<li>Print a new one when the grey patches are scratched, stained or faded.</li>
				</ol>
			</section>
		</HelpPage>
	);
}

import type { Metadata } from 'next';
import Link from 'next/link';
import { ShootDrawing } from '../HelpDrawings';
import { HelpPage } from '../HelpPage';

export const metadata: Metadata = { title: 'Shoot it' };

/** Taking the picture, with the cautions for it. */
export default function Shooting() {
	return (
		<HelpPage href="/help/shooting">
			<ShootDrawing />
			<section className="narrow">
				<ol>
					<li>
						<strong>Light:</strong> one kind only. Shade outdoors is best: in a low sun aluminium passes for copper.
						Indoors one lamp from the side. Your own shadow stays off the mat.
					</li>
					<li>
						<strong>Shine:</strong> look at the screen before you shoot. Where a lamp mirrors, move the lamp or turn the
						mat.
					</li>
					<li>
						<strong>Distance:</strong> the four marks just fit into the picture. No digital zoom, full size, no filter,
						no portrait mode.
					</li>
					<li>
						<strong>Level:</strong> hold the phone flat above the middle, arms on the tray&rsquo;s edge or the phone on
						a stand.
					</li>
					<li>
						<strong>Focus:</strong> wipe the lens, tap on the pieces, wait a second.
					</li>
					<li>
						<strong>A plain tray</strong> does without the mat: white or grey, its inner corners in view, no piece
						within a few millimetres of its walls. You set the corners on the picture and enter the inner size.
					</li>
				</ol>
				<p>
					Each photo is checked when it is read. <Link href="/help/warnings">What the warnings mean</Link>.
				</p>
			</section>
			<div className="caution">
				<p>
					Wet hands and chargers do not mix: never charge the phone at the table. Keep people, number plates and papers
					out of the picture.
				</p>
			</div>
		</HelpPage>
	);
}

import type { Metadata } from 'next';
import { WARNING_HELP } from '@/lib/report/warningHelp';
import { HelpPage } from '../HelpPage';

export const metadata: Metadata = { title: 'What the warnings mean' };

/** Each warning: what was seen, what it does to the figures, what to do. */
export default function Warnings() {
	return (
		<HelpPage href="/help/warnings">
			<p className="lead narrow">
				A warning never stops a reading. It says what the figures of that photo suffer from. Take the photo again while
				the spread still lies there.
			</p>
			<nav aria-label="All warnings" className="find-word">
				<ul>
					{WARNING_HELP.map(({ code, title }) => (
						<li key={code}>
							<a href={`#${code}`}>{title}</a>
						</li>
					))}
				</ul>
			</nav>
			{WARNING_HELP.map(({ code, title, means, does, remedy }) => (
				<section key={code} id={code} className="narrow">
					<h2>{title}</h2>
					<dl className="figures">
						<dt>Seen</dt>
						<dd>{means}</dd>
						<dt>To the figures</dt>
						<dd>{does}</dd>
						<dt>To do</dt>
						<dd>{remedy}</dd>
					</dl>
				</section>
			))}
		</HelpPage>
	);
}

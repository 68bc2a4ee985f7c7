import type { Metadata } from 'next';
import Link from 'next/link';
import { HELP_PAGES } from './helpPages';

export const metadata: Metadata = { title: 'Help' };

/** What there is to read, in the order of the work. */
export default function Help() {
	return (
		<>
			<h1>Help</h1>
			<p className="lead">Short pages, in the order of the work.</p>
			<ul className="lines">
				{HELP_PAGES.map(({ href, title, about }) => (
					<li key={href}>
						<Link className="line-link" href={href}>
							<strong>{title}</strong> <span className="soft">{about}</span>
						</Link>
					</li>
				))}
			</ul>
		</>
	);
}

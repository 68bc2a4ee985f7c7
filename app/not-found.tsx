import type { Metadata } from 'next';
import Link from 'next/link';

export const metadata: Metadata = { title: 'Not found' };

/** An address that leads to nothing. */
export default function NotFound() {
	return (
		<>
			<h1>Nothing found here</h1>
			<p>This address leads to nothing. What it named may have been removed, or the address was cut short.</p>
			<div className="actions">
				<Link className="button" href="/runs">
					All runs
				</Link>
				<Link className="button quiet" href="/">
					Today
				</Link>
			</div>
		</>
	);
}

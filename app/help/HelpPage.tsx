import Link from 'next/link';
import type { ReactNode } from 'react';
import { Trail } from '@/app/_parts/Trail';
import { HELP_PAGES } from './helpPages';

/** A help page: its heading, its words, and the way to the next. */
export function HelpPage({
	href,
	children,
}: {
	readonly href: (typeof HELP_PAGES)[number]['href'];
	readonly children: ReactNode;
}) {
	const at = HELP_PAGES.findIndex((page) => page.href === href);
	const next = HELP_PAGES[at + 1];
	return (
		<>
			<Trail steps={[{ href: '/help', label: 'Help' }]} />
			<h1>{HELP_PAGES[at]?.title}</h1>
			{children}
			{next === undefined ? null : (
				<p>
					Next: <Link href={next.href}>{next.title}</Link>
				</p>
			)}
		</>
	);
}

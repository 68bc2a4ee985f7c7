'use client';

import Link from 'next/link';
import { usePathname } from 'next/navigation';
import { type KeyboardEvent, useRef, useState } from 'react';

interface PageLink {
	readonly href: string;
	readonly label: string;
}

interface PageGroup {
	readonly name: string;
	readonly links: readonly PageLink[];
}

const AT_THE_TABLE: PageGroup = {
	name: 'At the table',
	links: [
		{ href: '/', label: 'Today' },
		{ href: '/quick', label: 'Quick check' },
		{ href: '/runs', label: 'Runs' },
	],
};

const OTHERS: readonly PageGroup[] = [
	{
		name: 'In the office',
		links: [
			{ href: '/lots', label: 'Lots' },
			{ href: '/compare', label: 'Compare' },
			{ href: '/records', label: 'Records' },
		],
	},
	{
		name: 'Set-up',
		links: [
			{ href: '/mat', label: 'Mat' },
			{ href: '/materials', label: 'Materials' },
			{ href: '/devices', label: 'Phones' },
		],
	},
	{
		name: 'To look up',
		links: [
			{ href: '/help', label: 'Help' },
			{ href: '/method', label: 'Method' },
			{ href: '/cautions', label: 'Cautions' },
		],
	},
];

/**
 * The pages one can always go to, in the order of the job; the one we are on is marked. Narrow screens show those for the
 * table, and the others behind a button.
 */
export function NavLinks() {
	const here = usePathname();
	// open on the page where it was opened: going on closes it
	const [openOn, setOpenOn] = useState<string>();
	const opener = useRef<HTMLButtonElement>(null);
	// a shared record stands alone
	if (here.startsWith('/shared/')) return null;
	const isOpen = openOn === here;
	const closeOnEscape = ({ key }: KeyboardEvent) => {
		if (key !== 'Escape' || !isOpen) return;
		setOpenOn(undefined);
		opener.current?.focus();
	};
	return (
		<nav aria-label="Pages" className="pages" onKeyDown={closeOnEscape}>
			<Group group={AT_THE_TABLE} here={here} />
			<button
				type="button"
				className="pages-opener"
				aria-expanded={isOpen}
				aria-controls="more-pages"
				ref={opener}
				onClick={() => setOpenOn(isOpen ? undefined : here)}
			>
				{isOpen ? 'Close' : 'More'}
			</button>
			<div id="more-pages" className={isOpen ? 'more-pages open' : 'more-pages'}>
				{OTHERS.map((group) => (
					<Group key={group.name} group={group} here={here} />
				))}
			</div>
		</nav>
	);
}

function Group({ group: { name, links }, here }: { readonly group: PageGroup; readonly here: string }) {
	return (
		<div className="page-group">
			<p>{name}</p>
			<ul>
				{links.map(({ href, label }) => (
					<li key={href}>
						<Link href={href} {...currentOf(href, here)}>
							{label}
						</Link>
					</li>
				))}
			</ul>
		</div>
	);
}

/** The page itself, or the part of the program that it belongs to. */
function currentOf(href: string, here: string) {
	if (href === here) return { 'aria-current': 'page' as const };
	return href !== '/' && here.startsWith(`${href}/`) ? { 'aria-current': 'true' as const } : {};
}

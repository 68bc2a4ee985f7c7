import Link from 'next/link';

/** The way back: each step a link. */
export function Trail({ steps }: { readonly steps: readonly { readonly href: string; readonly label: string }[] }) {
	return (
		<nav aria-label="Way back" className="trail">
			{steps.map(({ href, label }) => (
				<span key={href}>
					<Link href={href}>{label}</Link>
				</span>
			))}
		</nav>
	);
}

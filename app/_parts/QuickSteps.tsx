const STEPS = [
	{ at: 'photo', label: 'Photo in' },
	{ at: 'grade', label: 'Grade out' },
	{ at: 'keep', label: 'Keep or throw away' },
] as const;

/** The three steps of a quick check, the present one marked. */
export function QuickSteps({ now }: { readonly now: (typeof STEPS)[number]['at'] }) {
	return (
		<ol className="steps" aria-label="Steps">
			{STEPS.map(({ at, label }) => (
				<li key={at} {...(at === now ? { 'aria-current': 'step' as const } : {})}>
					{label}
				</li>
			))}
		</ol>
	);
}

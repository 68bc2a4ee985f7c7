'use client';

import type { ReactNode } from 'react';
import { useFormStatus } from 'react-dom';

/** One button that does one thing to the thing named by `id`, and does it once. */
export function ActionButton({
	action,
	id,
	children,
	className = 'button quiet',
	label,
}: {
	readonly action: (form: FormData) => Promise<void>;
	readonly id?: string;
	readonly children: ReactNode;
	readonly className?: string;
	/** The button's name read aloud, where several on a page read alike; begins with its words. */
	readonly label?: string;
}) {
	return (
		<form action={action}>
			{id === undefined ? null : <input type="hidden" name="id" value={id} />}
			<Once className={className} {...(label === undefined ? {} : { label })}>
				{children}
			</Once>
		</form>
	);
}

function Once({
	className,
	label,
	children,
}: {
	readonly className: string;
	readonly label?: string;
	readonly children: ReactNode;
}) {
	const { pending } = useFormStatus();
	return (
		<button type="submit" className={className} disabled={pending} aria-label={label}>
			{children}
		</button>
	);
}

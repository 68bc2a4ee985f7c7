'use client';

import { useEffect, useRef } from 'react';
import type { FormState } from '@/app/_forms/formState';
import { ProblemList } from './ProblemList';

/** What is to be mended in a form, at its top; takes the focus each time that the form came back. */
export function ErrorSummary({ problems, attempt }: Pick<FormState, 'problems' | 'attempt'>) {
	const box = useRef<HTMLDivElement>(null);
	useEffect(() => {
		if (attempt === 0 || problems.length === 0) return;
		box.current?.focus();
		document.title = document.title.replace(/^(Error: )?/, 'Error: ');
	}, [attempt, problems.length]);
	if (problems.length === 0) return null;
	return (
		<div className="summary" role="alert" tabIndex={-1} ref={box}>
			<h2>Fix this to go on</h2>
			<ProblemList problems={problems} />
		</div>
	);
}

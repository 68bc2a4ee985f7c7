'use client';

import { useRouter } from 'next/navigation';
import { useState } from 'react';
import { newId } from '@/app/_outbox/newId';
import { addToOutbox } from '@/app/_outbox/outbox';
import { goTo } from './contact';
import { FileButton } from './FileButton';

/** One photo, graded without a run: the photo goes into the outbox and its own page opens. */
export function QuickShot() {
	const router = useRouter();
	const [problem, setProblem] = useState<string | undefined>(undefined);

	async function take([file]: readonly File[]): Promise<void> {
		if (file === undefined) return;
		const check = newId();
		const taken = await addToOutbox(file, { photo: newId(), product: check, spread: newId(), quick: true });
		if ('unreadable' in taken) setProblem(taken.unreadable);
		else goTo(`/quick/${check}`, router.push);
	}

	return (
		<>
			{problem === undefined ? null : (
				<div className="note refused" role="alert">
					<p>{problem}</p>
				</div>
			)}
			<div className="upload-inputs">
				<FileButton label="Take a photo" camera className="button main" take={take} />
				<FileButton label="Choose a photo" take={take} />
			</div>
		</>
	);
}

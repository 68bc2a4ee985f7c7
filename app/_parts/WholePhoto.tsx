'use client';

import { useEffect, useRef, useState } from 'react';
import { leaveOutTaught } from '@/app/_actions/teachActions';
import { UNREACHED } from '@/lib/report/teachSentences';

/** What a whole photo may show. */
export type WholeKind = 'surface' | 'blank';

/**
 * Teach by a photo that shows one thing, and leave it out of its bin: it is no sample of it.
 *
 * @param teach - gives the words for what came of it
 */
export function WholePhoto({
	photoId,
	countsFor,
	isTaught,
	teach,
}: {
	readonly photoId: string;
	/** The bin whose grade it counts in. */
	readonly countsFor?: string;
	readonly isTaught: boolean;
	readonly teach: (kind: WholeKind) => string;
}) {
	const [told, tell] = useState('');
	const words = useRef<HTMLParagraphElement>(null);
	useEffect(() => {
		if (told !== '') words.current?.scrollIntoView({ block: 'nearest' });
	}, [told]);
	const [isLeftOut, setLeftOut] = useState(false);
	const leaveOut = async () => {
		const { problem } = await leaveOutTaught(photoId).catch(() => ({ problem: UNREACHED }));
		setLeftOut(problem === undefined);
		tell(problem ?? `The photo is left out of ${countsFor}: kept, not counted. Its own page counts it again.`);
	};
	return (
		<details>
			<summary>The whole photo shows one thing</summary>
			<p className="hint">
				A photo of an empty tray or mat, or of clean insulation without any metal, teaches by itself. Leave such a photo
				out of the product afterwards: what it taught stays.
			</p>
			<div className="actions">
				<button type="button" className="button quiet" onClick={() => tell(teach('surface'))}>
					It is an empty tray
				</button>
				<button type="button" className="button quiet" onClick={() => tell(teach('blank'))}>
					It is clean insulation
				</button>
			</div>
			<p role="status" ref={words}>
				{told}
			</p>
			{countsFor === undefined || !isTaught || isLeftOut ? null : (
				<div className="caution">
					<p>The photo still counts as a spread of {countsFor}.</p>
					<button type="button" className="button small" onClick={leaveOut}>
						Leave it out of {countsFor}
					</button>
				</div>
			)}
		</details>
	);
}

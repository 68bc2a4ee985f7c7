'use client';

import { type ReactNode, useEffect } from 'react';
import { shotSentence, shotTitle } from '@/lib/report/shotSentences';
import { ShotPicture } from './ShotPicture';
import { useLook } from './useLook';

/**
 * Right after a shot: the mat drawn as found, what is wrong with the picture, and the one thing to do better.
 *
 * @param children - what to do next, under the words
 * @param isTold - what is wrong with it stands on the page already: the picture alone is shown
 * @param judged - told whether there is something to do better, once that is known
 */
export function ShotCheck({
	file,
	children,
	isTold = false,
	judged,
}: {
	readonly file: Blob;
	readonly children?: ReactNode;
	readonly isTold?: boolean;
	readonly judged?: (couldBeBetter: boolean) => void;
}) {
	const { look, address } = useLook(file);
	const couldBeBetter = look.kind === 'seen' ? look.verdict.advice !== undefined : undefined;
	useEffect(() => {
		if (couldBeBetter !== undefined) judged?.(couldBeBetter);
	}, [couldBeBetter, judged]);
	return (
		<section className="shot" aria-label="The photo just taken">
			{address === undefined || look.kind === 'unseen' ? null : (
				<ShotPicture address={address} {...(look.kind === 'seen' ? { seen: look } : {})} />
			)}
			<div className="shot-words">
				<div role="status">
					{isTold ? null : (
						<>
							<p className="big">{look.kind === 'seen' ? shotTitle(look.verdict) : TITLES[look.kind]}</p>
							{look.kind === 'seen' ? <p>{shotSentence(look.verdict)}</p> : null}
						</>
					)}
				</div>
				{children}
			</div>
		</section>
	);
}

const TITLES = {
	looking: 'Looking at the photo …',
	unseen: 'This browser cannot show the picture. The reading tells whether it is of use.',
} as const;

'use client';

import { useEffect, useRef, useState } from 'react';
import { whyNoPicture } from './whyNoPicture';

/** The picture of a photo, or why there is none. */
export function PhotoPicture({ id, isSmall = false }: { readonly id: string; readonly isSmall?: boolean }) {
	const address = `/api/photos/${id}/picture${isSmall ? '?small' : ''}`;
	const shown = useRef<HTMLImageElement>(null);
	const [hasFailed, setFailed] = useState(false);
	const [problem, setProblem] = useState<string | undefined>(undefined);
	// it may have failed before this page could listen
	useEffect(() => {
		const { current } = shown;
		if (current?.complete === true && current.naturalWidth === 0 && current.currentSrc !== '') setFailed(true);
	}, []);
	useEffect(() => {
		if (!hasFailed) return;
		let isAsked = true;
		whyNoPicture(address).then((words) => isAsked && setProblem(words));
		return () => {
			isAsked = false;
		};
	}, [hasFailed, address]);
	if (problem !== undefined) return <p className="caution">{problem}</p>;
	return (
		<img
			ref={shown}
			src={address}
			alt={isSmall ? '' : 'The spread as photographed'}
			{...(isSmall ? { width: 320, height: 240 } : {})}
			loading="lazy"
			onError={() => setFailed(true)}
		/>
	);
}

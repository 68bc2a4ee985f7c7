'use client';

import { useEffect, useState } from 'react';
import { shotOf } from '@/app/_outbox/outbox';
import { bytesOf } from '@/app/_outbox/outboxDatabase';
import { useOutbox } from '@/app/_outbox/useOutbox';
import { ShotCheck } from './ShotCheck';

/** A quick check's photo on the device that took it: what a quick look says, while it is sent and read. */
export function QuickOnItsWay({ check, hasComeIn }: { readonly check: string; readonly hasComeIn: boolean }) {
	const { photos } = useOutbox();
	const letter = photos.find(({ place }) => place.product === check);
	const file = useShot(letter?.id);
	if (letter?.state.kind === 'refused') {
		return (
			<div className="note refused" role="alert">
				<p>
					<strong>{letter.name}</strong>: {letter.state.message}
				</p>
			</div>
		);
	}
	return (
		<>
			{hasComeIn ? null : <p>The photo has not come in yet. A page kept open shows it as soon as it is here.</p>}
			{file === undefined ? null : <ShotCheck file={file} />}
		</>
	);
}

/** The shot itself where this page took it; otherwise as the browser keeps it until it is sent. */
function useShot(id: string | undefined): Blob | undefined {
	const [file, setFile] = useState<Blob | undefined>(undefined);
	useEffect(() => {
		if (id === undefined) return;
		const shot = shotOf(id);
		if (shot !== undefined) {
			setFile(shot);
			return;
		}
		bytesOf(id).then(
			(bytes) => bytes === undefined || setFile(new Blob([bytes])),
			() => undefined, // nothing to show; the words above say where it is
		);
	}, [id]);
	return file;
}

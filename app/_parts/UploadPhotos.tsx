'use client';

import { useState } from 'react';
import { newId } from '@/app/_outbox/newId';
import { addToOutbox } from '@/app/_outbox/outbox';
import { isTwin, type OutboxPhoto } from '@/app/_outbox/outboxView';
import { useOutbox } from '@/app/_outbox/useOutbox';
import { FileButton } from './FileButton';
import { ShotCheck } from './ShotCheck';

interface Shot {
	readonly file: File;
	readonly photo: string;
	readonly spread: string;
}

interface Unreadable {
	readonly id: string;
	readonly name: string;
	readonly message: string;
}

/**
 * Photos from the camera or from files, many at once; each is kept on this device until the laptop has it, and the latest one is
 * looked at on the spot.
 *
 * @param spread - add to this spread; otherwise each photo becomes a spread of its own
 */
export function UploadPhotos({ product, spread }: { readonly product: string; readonly spread?: string }) {
	const { photos } = useOutbox();
	const [unreadable, setUnreadable] = useState<readonly Unreadable[]>([]);
	const [latest, setLatest] = useState<Shot | undefined>(undefined);
	const latestStands = photos.some(({ id, state }) => id === latest?.photo && state.kind !== 'refused');
	const mine = photos.filter(({ place }) => place.product === product && (spread ?? place.spread) === place.spread);

	async function take(files: readonly File[], again?: Shot): Promise<void> {
		for (const file of files) {
			const place = { photo: newId(), product, spread: again?.spread ?? spread ?? newId() };
			const taken = await addToOutbox(file, again === undefined ? place : { ...place, instead: again.photo });
			if ('unreadable' in taken)
				setUnreadable((all) => [...all, { id: place.photo, name: file.name, message: taken.unreadable }]);
			else if (file === files.at(-1)) setLatest({ file, photo: taken.id, spread: taken.place.spread });
		}
	}

	return (
		<div>
			<div className="upload-inputs">
				<FileButton label="Take a photo" camera className="button main" take={take} />
				<FileButton label="Choose photos" several take={take} />
			</div>
			{latest === undefined || !latestStands ? null : (
				<ShotCheck key={latest.photo} file={latest.file}>
					<FileButton label="Take it again" camera take={(files) => take(files, latest)} />
					<p className="hint">The first one stays: kept, but no longer counted.</p>
				</ShotCheck>
			)}
			<ul className="uploads" aria-live="polite">
				{unreadable.map(({ id, name, message }) => (
					<li key={id}>
						<Refusal name={name} message={message} />
					</li>
				))}
				{mine.map((photo) => (
					<li key={photo.id}>
						<UploadLine photo={photo} />
					</li>
				))}
			</ul>
		</div>
	);
}

function Refusal({ name, message }: Omit<Unreadable, 'id'>) {
	return (
		<div className="note refused">
			<p>
				<strong>{name}</strong>: {message}
			</p>
		</div>
	);
}

function UploadLine({ photo }: { readonly photo: OutboxPhoto }) {
	const { name, state } = photo;
	if (state.kind === 'refused') return <Refusal name={name} message={state.message} />;
	const words = {
		waiting: 'waits on this device to be sent',
		sending: 'is being sent',
		kept: isTwin(photo) ? 'was here already and is kept once' : 'is kept',
	}[state.kind];
	return (
		<>
			<p>
				<strong>{name}</strong> {words}
			</p>
			{state.kind === 'sending' ? <progress value={state.share} max={1} aria-label={`${name} sent`} /> : null}
		</>
	);
}

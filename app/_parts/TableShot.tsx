'use client';

import Link from 'next/link';
import { useEffect, useState } from 'react';
import { newId } from '@/app/_outbox/newId';
import { addToOutbox } from '@/app/_outbox/outbox';
import { isTwin } from '@/app/_outbox/outboxView';
import { useOutbox } from '@/app/_outbox/useOutbox';
import { shotCountSentence } from '@/lib/report/shotSentences';
import { FileButton } from './FileButton';
import { readyToLook } from './lookAtShot';
import { ShotCheck } from './ShotCheck';

interface Shot {
	readonly file: File;
	readonly photo: string;
	readonly spread: string;
	/** The shot that it was taken again for. */
	readonly before?: Shot;
}

/**
 * One bin in front of the camera: shoot, look, then on. One main button at a time: the camera until there is a shot, then the way
 * on, or the camera again where the picture could be better.
 *
 * @param known - ids of the photos on record
 * @param refused - of these, the ones that could not be read, which the page tells
 * @param photographed - ids of the spreads on record of which a photo counts or may yet
 */
export function TableShot(props: {
	readonly product: string;
	readonly known: readonly string[];
	readonly refused: readonly string[];
	readonly photographed: readonly string[];
	readonly onwards: { readonly href: string; readonly label: string };
}) {
	const { product, refused, photographed, onwards } = props;
	const { photos } = useOutbox();
	const [latest, setLatest] = useState<Shot | undefined>(undefined);
	const [looksBad, setLooksBad] = useState(false);
	const [problem, setProblem] = useState<string | undefined>(undefined);
	useEffect(readyToLook, []);
	const known = new Set(props.known);
	// one that the laptop would not take, or had before under another id, is no spread more
	const onTheWay = photos.filter(
		(photo) =>
			photo.place.product === product && !known.has(photo.id) && photo.state.kind !== 'refused' && !isTwin(photo),
	);
	const count = new Set([...photographed, ...onTheWay.map(({ place }) => place.spread)]).size;

	async function take([file]: readonly File[], again?: Shot): Promise<void> {
		if (file === undefined) return;
		const place = { photo: newId(), product, spread: again?.spread ?? newId() };
		const taken = await addToOutbox(file, again === undefined ? place : { ...place, instead: again.photo });
		if ('unreadable' in taken) return setProblem(taken.unreadable);
		setProblem(undefined);
		setLooksBad(false);
		const before = again === undefined || again.photo === taken.id ? {} : { before: again };
		setLatest({ file, photo: taken.id, spread: taken.place.spread, ...before });
	}

	const stands = ({ photo }: Shot) =>
		known.has(photo) || photos.some(({ id, state }) => id === photo && state.kind !== 'refused');
	const sent = photos.find(({ id }) => id === latest?.photo)?.state;
	const refusal = problem ?? (sent?.kind === 'refused' ? sent.message : undefined);
	// what the laptop would not take replaces nothing: the shot before it stands
	let shot = latest;
	while (shot !== undefined && !stands(shot)) shot = shot.before;
	const isTold = shot !== undefined && refused.includes(shot.photo);
	const couldBeBetter = looksBad || isTold;

	return (
		<>
			{refusal === undefined ? null : (
				<div className="note refused" role="alert">
					<p>{refusal}</p>
				</div>
			)}
			{shot === undefined ? (
				<p className="lead">One layer, inside the field, all four corner marks in view, no shine.</p>
			) : (
				<ShotCheck key={shot.photo} file={shot.file} isTold={isTold} judged={setLooksBad}>
					{couldBeBetter ? (
						<Link className="button" href={onwards.href}>
							Keep it. {onwards.label}
						</Link>
					) : (
						<FileButton label="Take it again" camera take={(files) => take(files, shot)} />
					)}
					<FileButton label="Another spread" camera take={take} />
				</ShotCheck>
			)}
			<p role="status">{shotCountSentence(count, refused.length)}</p>
			{shot === undefined ? (
				<div className="actions">
					<FileButton label="Choose from this device" take={take} />
					<Link className="button quiet" href={onwards.href}>
						{count + refused.length === 0 ? 'Go on without a photo' : onwards.label}
					</Link>
				</div>
			) : null}
			<div className="main-action">
				{shot === undefined ? (
					<FileButton label="Take a photo" camera className="button main" take={take} />
				) : couldBeBetter ? (
					<FileButton label="Take it again" camera className="button main" take={(files) => take(files, shot)} />
				) : (
					<Link className="button main" href={onwards.href}>
						{onwards.label}
					</Link>
				)}
			</div>
		</>
	);
}

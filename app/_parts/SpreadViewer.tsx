'use client';

import { useCallback, useEffect, useMemo, useState } from 'react';
import { readAgain } from '@/app/_actions/photoActions';
import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { type DrawnClass, type DrawnPiece, type PiecePicture, pieceAt } from '@/lib/report/piecePicture';
import { drawnName, pieceSentence } from '@/lib/report/pieceSentences';
import { ActionButton } from './ActionButton';
import { drawPieces, pathOf, photoDrawer, styleOf } from './drawPieces';
import { PictureStage, type Place } from './PictureStage';
import type { PictureView, StageSize } from './pictureView';
import { Swatch } from './Swatch';
import { useImage } from './useImage';

const CLASSES: readonly DrawnClass[] = [...MATERIAL_CLASSES, 'unjudged'];

/** The small copy is drawn up to this many screen points per photo pixel; closer up the whole photo is fetched. */
const COPY_IS_ENOUGH = 0.5;

/**
 * A photo and what the program saw on it, one tap apart: outlines by class, each class to be switched off, and the piece
 * under the finger with its size and rough mass.
 */
export function SpreadViewer({
	id,
	version,
	photo,
}: {
	readonly id: string;
	readonly version: string;
	readonly photo: StageSize;
}) {
	const [isOutlined, outline] = useState(true);
	const [hidden, hide] = useState<ReadonlySet<DrawnClass>>(new Set());
	const [picked, setPicked] = useState<DrawnPiece | undefined>(undefined);
	const [isClose, setClose] = useState(false);
	const { picture, problem, isLost } = usePieces(id, version);
	const copy = useImage(`/api/photos/${id}/picture`);
	const whole = useImage(isClose ? `/api/photos/${id}/picture?whole` : undefined);
	const paths = useMemo(() => picture?.pieces.map(pathOf) ?? [], [picture]);
	const image = whole.image ?? copy.image;

	const isShown = useCallback((name: DrawnClass) => isOutlined && !hidden.has(name), [isOutlined, hidden]);
	const drawPhoto = useMemo(() => image && photoDrawer(image, photo), [image, photo]);
	const draw = useCallback(
		(context: CanvasRenderingContext2D, view: PictureView, stage: StageSize) => {
			drawPhoto?.(context, view);
			if (isOutlined) drawPieces(context, paths, view, stage, isShown, picked);
		},
		[drawPhoto, isOutlined, paths, isShown, picked],
	);
	const pick = useCallback(
		(place: Place) => {
			const at = picture === undefined ? undefined : pieceAt(picture, place.x, place.y, isShown);
			setPicked(at === undefined ? undefined : picture?.pieces[at]);
		},
		[picture, isShown],
	);
	const onView = useCallback((view: PictureView) => setClose((before) => before || view.scale > COPY_IS_ENOUGH), []);
	const toggle = (name: DrawnClass) =>
		hide((before) => {
			const next = new Set(before);
			if (!next.delete(name)) next.add(name);
			return next;
		});

	return (
		<div className="spread-viewer">
			<fieldset className="plain two-ways">
				<legend className="visually-hidden">Show</legend>
				<button type="button" className="choice-button" aria-pressed={!isOutlined} onClick={() => outline(false)}>
					Photo
				</button>
				<button type="button" className="choice-button" aria-pressed={isOutlined} onClick={() => outline(true)}>
					Outlines
				</button>
			</fieldset>
			<PictureStage
				photo={photo}
				label={isOutlined ? 'The photo with the outlines of the pieces' : 'The photo'}
				draw={draw}
				pick={pick}
				hover={(place) => (place === undefined ? undefined : pick(place))}
				onView={onView}
			/>
			{copy.problem === undefined ? null : (
				<div className="caution">
					<p>{copy.problem}</p>
				</div>
			)}
			<p role="status" className="piece-words">
				{problem ??
					(picture === undefined
						? 'The outlines are being drawn …'
						: picked === undefined
							? 'Tap a piece to see what it is taken for, its size and about what it weighs.'
							: pieceSentence(picked))}
			</p>
			{isLost === true ? (
				<ActionButton action={readAgain} id={id} className="button small">
					Read it again as it is
				</ActionButton>
			) : null}
			<fieldset className="plain">
				<legend className="field-label">Classes to outline</legend>
				<ul className="legend switches">
					{CLASSES.map((name) => (
						<li key={name}>
							<button
								type="button"
								className="choice-button"
								aria-pressed={isShown(name)}
								disabled={!isOutlined}
								onClick={() => toggle(name)}
							>
								<Swatch style={styleOf(name)} />
								{drawnName(name)}
							</button>
						</li>
					))}
				</ul>
			</fieldset>
		</div>
	);
}

/** The status of an answer that says what the disk has lost, RFC 4918. */
const LOST_ON_DISK = 507;

interface Pieces {
	readonly picture?: PiecePicture;
	readonly problem?: string;
	/** What was seen is gone from the disk; reading the photo again makes it anew. */
	readonly isLost?: boolean;
}

/** Fetches the outlines of a photo; they are worked out on first asking. */
function usePieces(id: string, version: string): Pieces {
	const [state, set] = useState<Pieces>({});
	useEffect(() => {
		const stop = new AbortController();
		const load = async () => {
			const answer = await fetch(`/api/photos/${id}/pieces?v=${version}`, { signal: stop.signal });
			if (answer.status === LOST_ON_DISK) {
				const { message, hint } = (await answer.json()) as { message: string; hint: string };
				return set({ problem: `${message} ${hint}`, isLost: true });
			}
			if (!answer.ok) throw new Error(String(answer.status));
			// made by our own route, so the shape is known
			set({ picture: (await answer.json()) as PiecePicture });
		};
		load().catch(() => {
			if (!stop.signal.aborted) set({ problem: 'The outlines cannot be shown. Load the page again to try once more.' });
		});
		return () => stop.abort();
	}, [id, version]);
	return state;
}

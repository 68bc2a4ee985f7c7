'use client';

import { taughtCounts, taughtName } from '@/lib/report/teachSentences';
import type { OpenLessons } from './TeachScreen';

/** What was taught, what contradicts what, and how to undo it. */
export function TaughtList({ lessons, photoId }: { readonly lessons: OpenLessons; readonly photoId: string }) {
	const { spots, taught, undone, undo, redo } = lessons;
	const last = spots.at(-1);
	const isWhole = last?.radiusPx === 0;
	// what a whole photo taught is one lesson, however many colours it came in
	const lesson = isWhole
		? spots.filter(({ radiusPx, photo, class: kind }) => radiusPx === 0 && photo === last.photo && kind === last.class)
		: spots.slice(-1);
	return (
		<>
			<div className="actions">
				<button
					type="button"
					className="button quiet"
					disabled={last === undefined}
					onClick={() => undo(lesson.map(({ id }) => id))}
				>
					{isWhole ? 'Undo what the whole photo taught' : 'Undo the last spot'}
				</button>
				{undone.length === 0 ? null : (
					<button type="button" className="button quiet" onClick={redo}>
						Bring it back
					</button>
				)}
			</div>
			<p role="status">{taughtCounts(spots)}</p>
			<div aria-live="polite">
				{[...taught.contradictions.map(({ message }) => message), ...taught.warnings].map((message) => (
					<div className="caution" key={message}>
						<p>{message}</p>
					</div>
				))}
			</div>
			{spots.length === 0 ? null : (
				<details>
					<summary>All spots</summary>
					<ol className="lines narrow">
						{spots.map((spot, k) => (
							<li key={spot.id} className="acted-on">
								<p>
									{k + 1}. {taughtName(spot.class)}
									{spot.photo === photoId ? ', on this photo' : ', on another photo'}
									{spot.radiusPx === 0 ? ', the whole of it' : ''}
								</p>
								<button
									type="button"
									className="button quiet small"
									aria-label={`Undo spot ${k + 1}`}
									onClick={() => undo([spot.id])}
								>
									Undo
								</button>
							</li>
						))}
					</ol>
				</details>
			)}
		</>
	);
}

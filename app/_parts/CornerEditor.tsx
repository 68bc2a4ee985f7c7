'use client';

import { type KeyboardEvent, type PointerEvent, useEffect, useRef, useState } from 'react';
import { CORNER_FIELDS, CORNER_NAMES } from '@/app/_forms/readingForm';
import { parseNumber } from '@/lib/quantity/parseNumber';
import { printEntered } from '@/lib/report/format';
import { useField } from './EntryForm';
import { described, FieldFrame } from './Fields';

interface Size {
	readonly width: number;
	readonly height: number;
}

/** Where the corners start when nothing is known: a tenth in from the picture's edges. */
const START = [0.1, 0.1, 0.9, 0.1, 0.9, 0.9, 0.1, 0.9] as const;

/** How far an arrow key moves a corner, pixels of the photo; with shift ten times as far. */
const STEP_PX = 2;

/**
 * The tray's four inner corners on the photo: handles to drag with a finger or to move with the arrow keys, and the same
 * numbers as fields.
 */
export function CornerEditor({ photoId, corners }: { readonly photoId: string; readonly corners?: readonly number[] }) {
	const stage = useRef<HTMLDivElement>(null);
	const [size, setSize] = useState<Size | undefined>(undefined);
	const sent = useSentCorners();
	const [values, setValues] = useState<readonly string[] | undefined>(sent ?? corners?.map(asText));
	const [proposed, setProposed] = useState(false);
	const known = values !== undefined;
	useEffect(() => {
		if (known) return;
		let left = false;
		proposedFor(photoId).then((found) => {
			if (left || found === undefined) return;
			setValues((now) => now ?? found.map(asText));
			setProposed(true);
		});
		return () => {
			left = true;
		};
	}, [photoId, known]);
	const texts = values ?? (size === undefined ? CORNER_FIELDS.map(() => '') : startOf(size));
	const numbers = texts.map((text) => parseNumber(text) ?? 0);

	const put = (corner: number, x: number, y: number) => {
		if (size === undefined) return;
		const next = [...texts];
		next[2 * corner] = asText(Math.min(size.width, Math.max(0, x)));
		next[2 * corner + 1] = asText(Math.min(size.height, Math.max(0, y)));
		setValues(next);
	};
	const drag = (corner: number, event: PointerEvent) => {
		const box = stage.current?.getBoundingClientRect();
		if (box === undefined || size === undefined || !event.currentTarget.hasPointerCapture(event.pointerId)) return;
		put(
			corner,
			((event.clientX - box.left) / box.width) * size.width,
			((event.clientY - box.top) / box.height) * size.height,
		);
	};
	const nudge = (corner: number, event: KeyboardEvent) => {
		const step = event.shiftKey ? 10 * STEP_PX : STEP_PX;
		const moves: Record<string, readonly [number, number]> = {
			ArrowLeft: [-step, 0],
			ArrowRight: [step, 0],
			ArrowUp: [0, -step],
			ArrowDown: [0, step],
		};
		const move = moves[event.key];
		if (move === undefined) return;
		event.preventDefault();
		put(corner, (numbers[2 * corner] ?? 0) + move[0], (numbers[2 * corner + 1] ?? 0) + move[1]);
	};

	return (
		<>
			<p className="hint">
				Drag the four numbered handles to the corners of the tray&rsquo;s inner floor, or move a handle with the arrow
				keys (with shift ten times as far). 1 is the top-left, then clockwise. A strip along the walls (a fiftieth of
				the shorter side) is not read: keep pieces off it.
			</p>
			<p role="status" className={proposed ? 'note' : 'visually-hidden'}>
				{proposed
					? "The tray's rim suggests these corners. Check each one: a shadow or a shine may have misled it."
					: ''}
			</p>
			<div className="corner-stage" ref={stage}>
				<img
					src={`/api/photos/${photoId}/picture`}
					alt="The photo, to set the tray's corners on"
					ref={(image) => {
						if (image?.complete && image.naturalWidth > 0) loadSize(photoId, size, setSize);
					}}
					onLoad={() => loadSize(photoId, size, setSize)}
				/>
				{size === undefined ? null : (
					<>
						<svg viewBox={`0 0 ${size.width} ${size.height}`} preserveAspectRatio="none" aria-hidden="true">
							<polygon points={numbers.join(' ')} fill="none" stroke="#000" strokeWidth={size.width / 150} />
							<polygon points={numbers.join(' ')} fill="none" stroke="#fff" strokeWidth={size.width / 400} />
						</svg>
						{CORNER_NAMES.map((name, corner) => (
							<button
								key={name}
								type="button"
								className="corner-handle"
								style={{
									left: `${(100 * (numbers[2 * corner] ?? 0)) / size.width}%`,
									top: `${(100 * (numbers[2 * corner + 1] ?? 0)) / size.height}%`,
								}}
								aria-label={`Corner ${corner + 1}, ${name}: x ${texts[2 * corner]}, y ${texts[2 * corner + 1]}`}
								onPointerDown={(event) => event.currentTarget.setPointerCapture(event.pointerId)}
								onPointerMove={(event) => drag(corner, event)}
								onKeyDown={(event) => nudge(corner, event)}
							>
								{corner + 1}
							</button>
						))}
					</>
				)}
			</div>
			<details>
				<summary>Corners as numbers</summary>
				<p className="hint">Pixels of the upright photo, from its top-left corner.</p>
				<div className="pair">
					{CORNER_FIELDS.map((field, i) => (
						<CornerField
							key={field}
							name={field}
							label={`${i % 2 === 0 ? 'x' : 'y'}, ${CORNER_NAMES[Math.floor(i / 2)]}`}
							value={texts[i] ?? ''}
							change={(text) => setValues(texts.map((old, j) => (j === i ? text : old)))}
						/>
					))}
				</div>
			</details>
		</>
	);
}

function CornerField(props: {
	readonly name: string;
	readonly label: string;
	readonly value: string;
	readonly change: (text: string) => void;
}) {
	const { name, label, value, change } = props;
	const { problem } = useField(name, '');
	return (
		<FieldFrame name={name} label={label} problem={problem}>
			<input
				id={`field-${name}`}
				name={name}
				type="text"
				inputMode="decimal"
				value={value}
				onChange={(event) => change(event.target.value)}
				{...described(name, undefined, problem)}
			/>
		</FieldFrame>
	);
}

/** The corners as they were sent with a form that came back. */
function useSentCorners(): readonly string[] | undefined {
	const first = useField(CORNER_FIELDS[0], '').value;
	const rest = [
		useField(CORNER_FIELDS[1], '').value,
		useField(CORNER_FIELDS[2], '').value,
		useField(CORNER_FIELDS[3], '').value,
		useField(CORNER_FIELDS[4], '').value,
		useField(CORNER_FIELDS[5], '').value,
		useField(CORNER_FIELDS[6], '').value,
		useField(CORNER_FIELDS[7], '').value,
	];
	return first === '' ? undefined : [first, ...rest];
}

/** The screen shows a small copy; corners count pixels of the photo itself, so its size is asked for. */
async function loadSize(photoId: string, known: Size | undefined, set: (size: Size) => void): Promise<void> {
	if (known !== undefined) return;
	const answer = await fetch(`/api/photos/${photoId}/size`);
	if (answer.ok) set(await answer.json());
}

/** What the rim of a plain tray suggests; undefined when it isn't clear. */
async function proposedFor(photoId: string): Promise<readonly number[] | undefined> {
	const answer = await fetch(`/api/photos/${photoId}/corners`).catch(() => undefined);
	if (!answer?.ok) return undefined;
	const { corners } = (await answer.json()) as { corners?: readonly number[] };
	return corners;
}

function startOf({ width, height }: Size): readonly string[] {
	return START.map((share, i) => asText(share * (i % 2 === 0 ? width : height)));
}

function asText(pixel: number): string {
	return printEntered(Math.round(pixel * 10) / 10);
}

'use client';

import { type KeyboardEvent, type PointerEvent, useCallback, useEffect, useRef, useState } from 'react';
import { type PictureView, placeOnPhoto, pushed, type StageSize, wholePicture, zoomed } from './pictureView';
import { strokeTwice } from './strokeTwice';

/** One press of a button or key. */
const ZOOM_STEP = 1.6;
const PUSH_STEP = 60;
/** A finger that moved less than this, screen points, has tapped. */
const TAP_SLACK = 8;

export interface Place {
	readonly x: number;
	readonly y: number;
}

/**
 * A photo to look at closely: pinch, wheel and buttons zoom down to single pixels, a finger or the arrow keys move it, a tap
 * or Enter picks a place.
 */
export function PictureStage(props: {
	readonly photo: StageSize;
	readonly label: string;
	/** Draws on the photo, in the canvas's own points. Called again whenever it changes. */
	readonly draw: (context: CanvasRenderingContext2D, view: PictureView, stage: StageSize) => void;
	/** A place of the photo that was tapped, or that the cross shows when Enter is pressed. */
	readonly pick?: (place: Place, view: PictureView) => void;
	/** A place that a mouse rests over; undefined when it leaves. */
	readonly hover?: (place: Place | undefined) => void;
	/** Called while a finger is drawn over the picture; the picture then stays where it is. */
	readonly brush?: (place: Place, view: PictureView) => void;
	/** The view came this close. */
	readonly onView?: (view: PictureView) => void;
}) {
	const { photo, label, draw, pick, hover, brush, onView } = props;
	const canvas = useRef<HTMLCanvasElement>(null);
	const [stage, setStage] = useState<StageSize | undefined>(undefined);
	const [view, setView] = useState<PictureView | undefined>(undefined);
	const [isCrossShown, showCross] = useState(false);
	const now = stage === undefined ? undefined : (view ?? wholePicture(photo, stage));
	const isWhole = stage === undefined || now === undefined || now.scale <= wholePicture(photo, stage).scale * 1.001;

	useEffect(() => {
		const element = canvas.current;
		if (element === null) return;
		const measure = () => {
			setStage({ width: element.clientWidth, height: element.clientHeight });
			setView(undefined);
		};
		const watch = new ResizeObserver(measure);
		watch.observe(element);
		return () => watch.disconnect();
	}, []);

	useEffect(() => {
		const element = canvas.current;
		const context = element?.getContext('2d');
		if (!element || !context || stage === undefined || now === undefined) return;
		const frame = requestAnimationFrame(() => {
			const ratio = Math.min(2, window.devicePixelRatio);
			const [width, height] = [Math.round(stage.width * ratio), Math.round(stage.height * ratio)];
			if (element.width !== width) element.width = width;
			if (element.height !== height) element.height = height;
			context.setTransform(ratio, 0, 0, ratio, 0, 0);
			context.clearRect(0, 0, stage.width, stage.height);
			draw(context, now, stage);
			if (isCrossShown) drawCross(context, stage);
		});
		return () => cancelAnimationFrame(frame);
	});

	useEffect(() => {
		if (now !== undefined) onView?.(now);
	}, [now, onView]);

	const change = useCallback(
		(by: (view: PictureView, stage: StageSize) => PictureView) => {
			if (stage === undefined) return;
			setView((before) => by(before ?? wholePicture(photo, stage), stage));
		},
		[photo, stage],
	);
	const zoomBy = (factor: number) =>
		change((before, room) => zoomed(before, factor, room.width / 2, room.height / 2, photo, room));

	useWheel(canvas, isWhole, (factor, x, y) => change((before, room) => zoomed(before, factor, x, y, photo, room)));
	const fingers = useFingers({ photo, now, change, pick, hover, brush });

	const press = (event: KeyboardEvent) => {
		const pushes: Record<string, readonly [number, number]> = {
			ArrowLeft: [PUSH_STEP, 0],
			ArrowRight: [-PUSH_STEP, 0],
			ArrowUp: [0, PUSH_STEP],
			ArrowDown: [0, -PUSH_STEP],
		};
		const push = pushes[event.key];
		if (push !== undefined) change((before, room) => pushed(before, push[0], push[1], photo, room));
		else if (event.key === '+' || event.key === '=') zoomBy(ZOOM_STEP);
		else if (event.key === '-') zoomBy(1 / ZOOM_STEP);
		else if (event.key === 'Home') setView(undefined);
		else if (event.key === 'Enter' && stage !== undefined && now !== undefined) {
			pick?.(placeOnPhoto(now, stage.width / 2, stage.height / 2), now);
		} else return;
		event.preventDefault();
		showCross(true);
	};

	return (
		<div className="picture-stage">
			<canvas
				ref={canvas}
				aria-label={`${label}. Arrow keys move it, plus and minus zoom, Home shows all, Enter picks what is under the cross in the middle.`}
				tabIndex={0}
				style={{
					aspectRatio: `${photo.width} / ${photo.height}`,
					touchAction: brush !== undefined || !isWhole ? 'none' : 'pan-y',
				}}
				onKeyDown={press}
				onBlur={() => showCross(false)}
				{...fingers}
			/>
			<fieldset className="stage-buttons plain">
				<legend className="visually-hidden">Zoom</legend>
				<button type="button" className="choice-button" onClick={() => zoomBy(ZOOM_STEP)} aria-label="Closer">
					+
				</button>
				<button type="button" className="choice-button" onClick={() => zoomBy(1 / ZOOM_STEP)} aria-label="Farther">
					{'\u2212'}
				</button>
				<button type="button" className="choice-button" onClick={() => setView(undefined)}>
					Whole picture
				</button>
			</fieldset>
		</div>
	);
}

/** The wheel zooms; at the whole picture, turning it back scrolls the page as everywhere else. */
function useWheel(
	canvas: { readonly current: HTMLCanvasElement | null },
	isWhole: boolean,
	zoom: (factor: number, x: number, y: number) => void,
): void {
	useEffect(() => {
		const element = canvas.current;
		if (element === null) return;
		const turn = (event: WheelEvent) => {
			if (isWhole && event.deltaY > 0) return;
			event.preventDefault();
			const box = element.getBoundingClientRect();
			zoom(Math.exp(-event.deltaY / 400), event.clientX - box.left, event.clientY - box.top);
		};
		element.addEventListener('wheel', turn, { passive: false });
		return () => element.removeEventListener('wheel', turn);
	});
}

/** Fingers and mouse: one drags or taps, two pinch. */
function useFingers(with_: {
	readonly photo: StageSize;
	readonly now: PictureView | undefined;
	readonly change: (by: (view: PictureView, stage: StageSize) => PictureView) => void;
	readonly pick: ((place: Place, view: PictureView) => void) | undefined;
	readonly hover: ((place: Place | undefined) => void) | undefined;
	readonly brush: ((place: Place, view: PictureView) => void) | undefined;
}) {
	const { photo, now, change, pick, hover, brush } = with_;
	const down = useRef(new Map<number, Place>());
	const start = useRef<Place | undefined>(undefined);
	const pointOf = (event: PointerEvent<HTMLCanvasElement>): Place => {
		const box = event.currentTarget.getBoundingClientRect();
		return { x: event.clientX - box.left, y: event.clientY - box.top };
	};
	const lift = (event: PointerEvent<HTMLCanvasElement>) => {
		down.current.delete(event.pointerId);
		start.current = undefined;
	};
	return {
		onPointerDown: (event: PointerEvent<HTMLCanvasElement>) => {
			event.currentTarget.setPointerCapture(event.pointerId);
			const at = pointOf(event);
			down.current.set(event.pointerId, at);
			start.current = down.current.size === 1 ? at : undefined;
		},
		onPointerMove: (event: PointerEvent<HTMLCanvasElement>) => {
			const at = pointOf(event);
			const before = down.current.get(event.pointerId);
			if (before === undefined) {
				if (event.pointerType === 'mouse' && now !== undefined) hover?.(placeOnPhoto(now, at.x, at.y));
				return;
			}
			const other = [...down.current].find(([id]) => id !== event.pointerId)?.[1];
			down.current.set(event.pointerId, at);
			if (other !== undefined) {
				const factor = Math.hypot(at.x - other.x, at.y - other.y) / Math.hypot(before.x - other.x, before.y - other.y);
				const middle = { x: (at.x + other.x) / 2, y: (at.y + other.y) / 2 };
				const shift = { x: (at.x - before.x) / 2, y: (at.y - before.y) / 2 };
				change((view, room) =>
					pushed(
						zoomed(view, Number.isFinite(factor) ? factor : 1, middle.x, middle.y, photo, room),
						shift.x,
						shift.y,
						photo,
						room,
					),
				);
				return;
			}
			const from = start.current;
			if (from !== undefined && Math.hypot(at.x - from.x, at.y - from.y) > TAP_SLACK) start.current = undefined;
			if (start.current !== undefined) return;
			if (brush !== undefined && now !== undefined) brush(placeOnPhoto(now, at.x, at.y), now);
			else change((view, room) => pushed(view, at.x - before.x, at.y - before.y, photo, room));
		},
		onPointerUp: (event: PointerEvent<HTMLCanvasElement>) => {
			const isTap = start.current !== undefined && down.current.size === 1;
			lift(event);
			const at = pointOf(event);
			if (isTap && now !== undefined) pick?.(placeOnPhoto(now, at.x, at.y), now);
		},
		onPointerCancel: lift,
		onPointerLeave: () => hover?.(undefined),
	};
}

function drawCross(context: CanvasRenderingContext2D, { width, height }: StageSize): void {
	const [x, y] = [width / 2, height / 2];
	strokeTwice(context, () => {
		context.moveTo(x - 14, y);
		context.lineTo(x + 14, y);
		context.moveTo(x, y - 14);
		context.lineTo(x, y + 14);
	});
}

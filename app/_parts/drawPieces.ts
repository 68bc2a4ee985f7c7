import { CLASS_STYLES, type ClassStyle, UNJUDGED_STYLE } from '@/lib/report/classPalette';
import type { DrawnClass, DrawnPiece } from '@/lib/report/piecePicture';
import type { PictureView, StageSize } from './pictureView';
import type { TaughtEdges } from './teachWorker';

/** A piece ready to be drawn many times. */
export interface PiecePath {
	readonly piece: DrawnPiece;
	readonly path: Path2D;
	readonly box: { readonly left: number; readonly top: number; readonly right: number; readonly bottom: number };
}

/** Side of a piece on the screen, points, from which its class's letter fits on it. */
const LETTER_ROOM = 26;

export function styleOf(name: DrawnClass): ClassStyle {
	return name === 'unjudged' ? UNJUDGED_STYLE : CLASS_STYLES[name];
}

/** The outlines of a piece as a path in photo pixels, with its box. */
export function pathOf(piece: DrawnPiece): PiecePath {
	const path = new Path2D();
	let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
	for (const ring of piece.rings) {
		for (let i = 0; i < ring.length; i += 2) {
			const [x = 0, y = 0] = [ring[i], ring[i + 1]];
			if (i === 0) path.moveTo(x, y);
			else path.lineTo(x, y);
			[left, right, top, bottom] = [Math.min(left, x), Math.max(right, x), Math.min(top, y), Math.max(bottom, y)];
		}
		path.closePath();
	}
	return { piece, path, box: { left, top, right, bottom } };
}

/**
 * Draws a photo; close up its pixels are squares. While the view stays, what was drawn is kept, so that outlines that change with every frame
 * don't cost a new scaling of all pixels.
 */
export function photoDrawer(image: HTMLImageElement, photo: StageSize) {
	let last = '';
	let kept: HTMLCanvasElement | undefined;
	return (context: CanvasRenderingContext2D, view: PictureView): void => {
		const { width, height } = context.canvas;
		const now = [width, height, view.scale, view.left, view.top].join();
		if (now !== last) kept = undefined;
		else kept ??= copyOf(context.canvas, (copy) => drawPhoto(copy, image, view, photo), context.getTransform());
		last = now;
		if (kept === undefined) {
			drawPhoto(context, image, view, photo);
			return;
		}
		const transform = context.getTransform();
		context.resetTransform();
		context.drawImage(kept, 0, 0);
		context.setTransform(transform);
	};
}

function copyOf(
	{ width, height }: StageSize,
	draw: (context: CanvasRenderingContext2D) => void,
	transform: DOMMatrix,
): HTMLCanvasElement | undefined {
	const canvas = document.createElement('canvas');
	canvas.width = width;
	canvas.height = height;
	const context = canvas.getContext('2d');
	if (context === null) return undefined;
	context.setTransform(transform);
	draw(context);
	return canvas;
}

function drawPhoto(
	context: CanvasRenderingContext2D,
	image: HTMLImageElement,
	view: PictureView,
	photo: StageSize,
): void {
	context.imageSmoothingEnabled = view.scale < 3;
	context.drawImage(image, view.left, view.top, photo.width * view.scale, photo.height * view.scale);
}

/** Edges of pieces as a picture on the photo. */
export function drawEdges(context: CanvasRenderingContext2D, edges: TaughtEdges, view: PictureView): void {
	const { picture, left, top, width, height } = edges;
	const { scale } = view;
	context.drawImage(picture, view.left + left * scale, view.top + top * scale, width * scale, height * scale);
}

/** Every outline is white, black and its class's colour, from outside in; the picked piece's is broader. */
export function drawPieces(
	context: CanvasRenderingContext2D,
	paths: readonly PiecePath[],
	view: PictureView,
	stage: StageSize,
	isShown: (name: DrawnClass) => boolean,
	picked: DrawnPiece | undefined,
): void {
	const seen = paths.filter(({ piece, box }) => isShown(piece.class) && isInSight(box, view, stage));
	const line = Math.min(2.5, Math.max(0.6, 0.4 + 1.6 * view.scale)) / view.scale;
	context.save();
	context.translate(view.left, view.top);
	context.scale(view.scale, view.scale);
	context.lineJoin = 'round';
	for (const name of new Set(seen.map(({ piece }) => piece.class))) {
		const together = new Path2D();
		for (const { piece, path } of seen) if (piece.class === name) together.addPath(path);
		strokeOutline(context, together, styleOf(name), line);
	}
	const chosen = seen.find(({ piece }) => piece === picked);
	if (chosen !== undefined) strokeOutline(context, chosen.path, styleOf(chosen.piece.class), 2 * line);
	context.restore();
	for (const one of seen) drawLetter(context, one, view);
}

function strokeOutline(context: CanvasRenderingContext2D, path: Path2D, style: ClassStyle, line: number): void {
	const dash = style.dash === '' ? [] : style.dash.split(' ').map((part) => Number(part) * line);
	const isSparse = style === UNJUDGED_STYLE;
	const strokes = [
		['#ffffff', 2.6, isSparse],
		['#000000', 1.8, isSparse],
		[style.colour, 1, true],
	] as const;
	for (const [colour, times, isDashed] of strokes) {
		context.setLineDash(isDashed ? dash : []);
		context.strokeStyle = colour;
		context.lineWidth = line * times;
		context.stroke(path);
	}
	context.setLineDash([]);
}

function drawLetter(context: CanvasRenderingContext2D, { piece, box }: PiecePath, view: PictureView): void {
	if (Math.min(box.right - box.left, box.bottom - box.top) * view.scale < LETTER_ROOM) return;
	const x = view.left + ((box.left + box.right) / 2) * view.scale;
	const y = view.top + ((box.top + box.bottom) / 2) * view.scale;
	context.font = '700 14px system-ui, sans-serif';
	context.textAlign = 'center';
	context.textBaseline = 'middle';
	context.lineWidth = 4;
	context.strokeStyle = '#ffffff';
	context.strokeText(styleOf(piece.class).letter, x, y);
	context.fillStyle = '#000000';
	context.fillText(styleOf(piece.class).letter, x, y);
}

function isInSight(box: PiecePath['box'], view: PictureView, stage: StageSize): boolean {
	return (
		view.left + box.right * view.scale >= 0 &&
		view.top + box.bottom * view.scale >= 0 &&
		view.left + box.left * view.scale <= stage.width &&
		view.top + box.top * view.scale <= stage.height
	);
}

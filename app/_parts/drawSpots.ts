import type { TaughtSpot } from '@/lib/material/taughtSpot';
import { CLASS_STYLES } from '@/lib/report/classPalette';
import type { PictureView } from './pictureView';
import { strokeTwice } from './strokeTwice';

/** Smallest a spot is drawn, points of the screen. */
const LEAST_RADIUS = 5;

/** Taught spots as rings, white and black, with the class's letter beside; bare surface has a dash. */
export function drawSpots(context: CanvasRenderingContext2D, spots: readonly TaughtSpot[], view: PictureView): void {
	context.font = '700 13px system-ui, sans-serif';
	context.textAlign = 'left';
	context.textBaseline = 'middle';
	for (const { xPx, yPx, radiusPx, class: name } of spots) {
		if (radiusPx === 0) continue;
		const [x, y] = [view.left + xPx * view.scale, view.top + yPx * view.scale];
		const radius = Math.max(LEAST_RADIUS, radiusPx * view.scale);
		strokeTwice(context, () => context.arc(x, y, radius, 0, 2 * Math.PI));
		const letter = name === 'background' ? '\u2013' : CLASS_STYLES[name].letter;
		context.lineWidth = 4;
		context.strokeStyle = '#ffffff';
		context.strokeText(letter, x + radius + 3, y);
		context.fillStyle = '#000000';
		context.fillText(letter, x + radius + 3, y);
	}
}

/** Draw a line black on white, so that it is seen on any picture; `path` lays it. */
export function strokeTwice(context: CanvasRenderingContext2D, path: () => void): void {
	for (const [colour, thick] of [
		['#ffffff', 5],
		['#000000', 2],
	] as const) {
		context.strokeStyle = colour;
		context.lineWidth = thick;
		context.beginPath();
		path();
		context.stroke();
	}
}

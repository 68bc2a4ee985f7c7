import type { Material } from '@/lib/material/material';
import type { Raster } from '@/lib/photo/raster';
import type { Surface } from '@/lib/photo/surface';
import { edgePicture } from '@/lib/report/edgePicture';
import type { DrawnPiece } from '@/lib/report/piecePicture';
import { quickOutlines } from '@/lib/report/quickOutlines';
import type { Light } from '@/lib/segmentation/light';
import { openTeachingView, type TeachingView } from '@/lib/segmentation/teachingView';

/** The photo that is taught on, once; then each material to be looked at. */
export type TeachQuestion =
	| { readonly raster: Raster; readonly surface: Surface; readonly light: Light; readonly scale: number }
	| { readonly look: number; readonly material: Material };

/** For each look at first the edges, as a picture with its place on the photo; then, when no other look came, the outlines. */
export type TeachAnswer =
	| { readonly look: number; readonly edges: TaughtEdges }
	| { readonly look: number; readonly pieces: readonly DrawnPiece[] };

export interface TaughtEdges {
	readonly picture: ImageBitmap;
	readonly left: number;
	readonly top: number;
	readonly width: number;
	readonly height: number;
}

/** Outlines take a while: they are made once no other material has come for so long, ms. */
const STILL_MS = 120;

let open: { readonly view: TeachingView; readonly surface: Surface; readonly scale: number } | undefined;
let next: { readonly look: number; readonly material: Material } | undefined;
let still: ReturnType<typeof setTimeout> | undefined;
let sheet: OffscreenCanvas | undefined;

addEventListener('message', ({ data }: MessageEvent<TeachQuestion>) => {
	if ('raster' in data) {
		const { raster, surface, light, scale } = data;
		open = { view: openTeachingView(raster, surface, light), surface, scale };
		return;
	}
	// of materials that came meanwhile only the last is looked at
	if (next === undefined) setTimeout(showEdges);
	next = data;
});

function showEdges(): void {
	const asked = next;
	next = undefined;
	if (open === undefined || asked === undefined) return;
	clearTimeout(still);
	const { view, scale } = open;
	const { width, height, columnOffset, rowOffset } = view.box;
	if (width > 0 && height > 0) {
		const edges = edgePicture(view.quickLabels(asked.material), width, height);
		const picture = bitmapOf(new ImageData(edges, width, height));
		const place = { left: columnOffset / scale, top: rowOffset / scale, width: width / scale, height: height / scale };
		// handed over: a copy of it costs both sides as much as making it
		answer({ look: asked.look, edges: { picture, ...place } }, [picture]);
	}
	still = setTimeout(() => showOutlines(asked), STILL_MS);
}

function showOutlines({ look, material }: { readonly look: number; readonly material: Material }): void {
	if (open === undefined) return;
	const { view, surface, scale } = open;
	answer({ look, pieces: quickOutlines(view.relabel(material), 1 / scale, 1 / surface.pxPerMm ** 2) });
}

/** At once, where `createImageBitmap` lets others go first. */
function bitmapOf(pixels: ImageData): ImageBitmap {
	const { width, height } = pixels;
	if (sheet?.width !== width || sheet.height !== height) sheet = new OffscreenCanvas(width, height);
	const context = sheet.getContext('2d');
	if (context === null) throw new Error('This browser gives no canvas to draw on.');
	context.putImageData(pixels, 0, 0);
	return sheet.transferToImageBitmap();
}

function answer(said: TeachAnswer, handedOver: Transferable[] = []): void {
	postMessage(said, { transfer: handedOver });
}

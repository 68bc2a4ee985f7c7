'use client';

import { useEffect, useState } from 'react';
import { type PiecePath, pathOf } from './drawPieces';
import type { ModelAnswer, ModelQuestion } from './modelWorker';
import type { OpenPhoto } from './useTeachingView';

/** What the pixel model makes of the photo: nothing until it has read it. */
export interface ModelLook {
	readonly paths?: readonly PiecePath[];
	readonly problem?: string;
}

const NOTHING: ModelLook = {};

/** Has the model read a photo in this browser, off the main thread, the first time that its outlines are asked for. */
export function useModelLook(open: OpenPhoto | undefined, isShown: boolean): ModelLook {
	const [seen, see] = useState<{ readonly of: OpenPhoto; readonly look: ModelLook } | undefined>(undefined);
	const isRead = seen !== undefined && seen.of === open;
	useEffect(() => {
		if (open === undefined || !isShown || isRead) return;
		const worker = new Worker(new URL('./modelWorker.ts', import.meta.url), { type: 'module' });
		worker.onmessage = ({ data }: MessageEvent<ModelAnswer>) => {
			see({ of: open, look: 'pieces' in data ? { paths: data.pieces.map(pathOf) } : data });
			worker.terminate();
		};
		const { raster, surface, light, scale } = open;
		const { tables, falloff, source } = light;
		worker.postMessage({
			raster,
			surface,
			light: { tables, source, ...(falloff === undefined ? {} : { falloff }) },
			scale,
		} satisfies ModelQuestion);
		return () => worker.terminate();
	}, [open, isShown, isRead]);
	// what failed is tried again when it is asked for again
	if (!isShown && seen?.look.problem !== undefined) see(undefined);
	return isShown && isRead ? seen.look : NOTHING;
}

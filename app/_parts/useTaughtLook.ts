'use client';

import { useEffect, useRef, useState } from 'react';
import type { Material } from '@/lib/material/material';
import { type PiecePath, pathOf } from './drawPieces';
import type { TaughtEdges, TeachAnswer, TeachQuestion } from './teachWorker';
import type { OpenPhoto } from './useTeachingView';

/** What a material makes of the photo: at first its pieces' edges, then their outlines. */
export interface TaughtLook {
	readonly edges?: TaughtEdges;
	readonly paths: readonly PiecePath[];
}

const NOTHING: TaughtLook = { paths: [] };

/** Looks at a photo with a material, off the main thread, anew whenever the material changes. */
export function useTaughtLook(open: OpenPhoto | undefined, material: Material, isShown: boolean): TaughtLook {
	const [seen, see] = useState<TaughtLook>(NOTHING);
	const worker = useRef<Worker | undefined>(undefined);
	const look = useRef(0);

	useEffect(() => {
		if (open === undefined) return;
		const made = new Worker(new URL('./teachWorker.ts', import.meta.url), { type: 'module' });
		const { raster, surface, light, scale } = open;
		made.onmessage = ({ data }: MessageEvent<TeachAnswer>) => {
			if ('edges' in data) see({ edges: data.edges, paths: [] });
			else if (data.look === look.current) see({ paths: data.pieces.map(pathOf) });
		};
		made.postMessage({
			raster,
			surface,
			light: { tables: light.tables, ...(light.falloff === undefined ? {} : { falloff: light.falloff }) },
			scale,
		} satisfies TeachQuestion);
		worker.current = made;
		return () => {
			worker.current = undefined;
			made.terminate();
		};
	}, [open]);

	useEffect(() => {
		if (open === undefined || !isShown) return;
		look.current += 1;
		worker.current?.postMessage({ look: look.current, material } satisfies TeachQuestion);
	}, [open, material, isShown]);

	return isShown ? seen : NOTHING;
}

'use client';

import { useEffect, useState } from 'react';
import { whyNoPicture } from './whyNoPicture';

/** How far an image has come: it is here, or the words say why it is not; neither before, and while there is no address. */
export interface LoadedImage {
	readonly image?: HTMLImageElement;
	readonly problem?: string;
}

/** An image once it has come. */
export function useImage(address: string | undefined): LoadedImage {
	const [state, set] = useState<LoadedImage>({});
	useEffect(() => {
		if (address === undefined) return;
		let isAsked = true;
		const loading = new Image();
		loading.onload = () => set({ image: loading });
		loading.onerror = async () => {
			const problem = await whyNoPicture(address);
			if (isAsked) set({ problem });
		};
		loading.src = address;
		return () => {
			isAsked = false;
			loading.onload = null;
			loading.onerror = null;
		};
	}, [address]);
	return state;
}

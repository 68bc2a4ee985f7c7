'use client';

import { useEffect, useState } from 'react';
import type { ShotVerdict } from '@/lib/photo/judgeShot';
import { lookAtShot } from './lookAtShot';

/** A photo with what was seen on it. */
export interface SeenShot {
	readonly verdict: ShotVerdict;
	readonly widthPx: number;
	readonly heightPx: number;
}

/** How far a quick look has come. */
export type Look =
	| { readonly kind: 'looking' }
	| ({ readonly kind: 'seen' } & SeenShot)
	/** This browser can't show such a picture. */
	| { readonly kind: 'unseen' };

/** Finest strand whose metal matters where no material says otherwise, mm. */
const FINEST_STRAND_MM = 0.2;

/** Look at a photo off the main thread, and an address to show it by meanwhile. */
export function useLook(file: Blob): { readonly look: Look; readonly address?: string } {
	const [look, setLook] = useState<Look>({ kind: 'looking' });
	const [address, setAddress] = useState<string | undefined>(undefined);
	useEffect(() => {
		const made = URL.createObjectURL(file);
		setAddress(made);
		let left = false;
		lookAtShot({ file, finestStrandMm: FINEST_STRAND_MM }).then((seen) => {
			if (!left) setLook(seen === undefined ? { kind: 'unseen' } : { kind: 'seen', ...seen });
		});
		return () => {
			left = true;
			URL.revokeObjectURL(made);
		};
	}, [file]);
	return { look, ...(address === undefined ? {} : { address }) };
}

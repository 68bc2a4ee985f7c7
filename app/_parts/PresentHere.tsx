'use client';

import { type Presentation, presentBy } from '@/lib/report/presentation';

/** Lets the browser write numbers as the server did for this device; stands before everything that prints. */
export function PresentHere({ presentation }: { readonly presentation: Presentation }) {
	if (typeof window !== 'undefined') presentBy(() => presentation);
	return null;
}

'use client';

import { useRouter } from 'next/navigation';
import { useEffect } from 'react';
import { listenTo } from './listenTo';
import { refreshWhenAnswered } from './refreshWhenAnswered';

/** Brings the page up to date when a device joins. @param shown - ids on the page, in order */
export function FreshDevices({ shown }: { readonly shown: readonly string[] }) {
	const router = useRouter();
	const onPage = shown.join();
	useEffect(() => {
		let stopAsking = () => {};
		const stopListening = listenTo<readonly string[]>('/api/devices', (joined) => {
			if (joined.join() === onPage) return;
			stopAsking();
			stopAsking = refreshWhenAnswered(() => router.refresh());
		});
		return () => {
			stopListening();
			stopAsking();
		};
	}, [onPage, router]);
	return null;
}

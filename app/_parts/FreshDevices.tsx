'use client';

import { useRouter } from 'next/navigation';
import { useEffect } from 'react';
import { listenTo } from './listenTo';
import { refreshWhenAnswered } from './refreshWhenAnswered';

/** Brings the page up to date when a device joins. @param mark - of what the page shows */
export function FreshDevices({ mark }: { readonly mark: string }) {
	const router = useRouter();
	useEffect(() => {
		let stopAsking = () => {};
		const stopListening = listenTo<string>('/api/devices', (now) => {
			if (now === mark) return;
			stopAsking();
			stopAsking = refreshWhenAnswered(() => router.refresh());
		});
		return () => {
			stopListening();
			stopAsking();
		};
	}, [mark, router]);
	return null;
}

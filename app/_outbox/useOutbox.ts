'use client';

import { useEffect, useSyncExternalStore } from 'react';
import { EMPTY_OUTBOX, type OutboxView, outboxView, startOutbox, watchOutbox } from './outbox';

/** The outbox as it stands. */
export function useOutbox(): OutboxView {
	useEffect(startOutbox, []);
	return useSyncExternalStore(watchOutbox, outboxView, () => EMPTY_OUTBOX);
}

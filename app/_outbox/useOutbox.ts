'use client';

import { useEffect, useSyncExternalStore } from 'react';
import { startOutbox } from './outbox';
import { EMPTY_OUTBOX, type OutboxView, outboxView, watchOutbox } from './outboxView';

/** The outbox as it stands. */
export function useOutbox(): OutboxView {
	useEffect(startOutbox, []);
	return useSyncExternalStore(watchOutbox, outboxView, () => EMPTY_OUTBOX);
}

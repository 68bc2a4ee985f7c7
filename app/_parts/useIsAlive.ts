import { useSyncExternalStore } from 'react';

/** Whether scripts run: false as the page is sent out, where a form takes its action bare so that it works without them too. */
export function useIsAlive(): boolean {
	return useSyncExternalStore(
		() => () => undefined,
		() => true,
		() => false,
	);
}

/** Whether the laptop answers this device with a refusal: it was forgotten there. */
export function isShutOut(): Promise<boolean> {
	return fetch('/api/ready', { cache: 'no-store', signal: AbortSignal.timeout(5000) }).then(
		({ status }) => status === 403,
		() => false,
	);
}

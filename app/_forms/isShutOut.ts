/** Whether the laptop answers this device with a refusal: it was forgotten there. */
export function isShutOut(): Promise<boolean> {
	return fetch('/api/ready', { cache: 'no-store' }).then(
		({ status }) => status === 403,
		() => false,
	);
}

/** How numbers and days can be written; the empty value follows the device's own language. */
export const NUMBER_STYLES = [
	{ value: '', label: 'As this device does' },
	{ value: 'en-GB', label: '1 240.5 and 5 Mar 2026' },
	{ value: 'en-US', label: '1 240.5 and Mar 5, 2026' },
	{ value: 'en-DK', label: '1 240,5 and 5 Mar 2026' },
	{ value: 'de-DE', label: '1 240,5 and 05.03.2026' },
	{ value: 'fr-FR', label: '1 240,5 and 5 mars 2026' },
] as const;

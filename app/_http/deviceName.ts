/** What to call a device until somebody names it, from what its browser says of itself. */
const KINDS = [
	[/iPad/, 'iPad'],
	[/iPhone/, 'iPhone'],
	[/Android.*Mobile/, 'Android phone'],
	[/Android/, 'Android tablet'],
	[/Windows/, 'Windows computer'],
	[/Macintosh/, 'Mac'],
	[/Linux|CrOS/, 'Linux computer'],
] as const;

/** @param userAgent - the User-Agent header */
export function deviceNameOf(userAgent: string | null): string {
	return KINDS.find(([pattern]) => pattern.test(userAgent ?? ''))?.[1] ?? 'A device';
}

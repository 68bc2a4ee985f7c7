/** Whether the browser says that a request comes from our own page, or that a person asked for it. Programs say nothing. */
export function isOwnSite(site: string | undefined): boolean {
	return site === undefined || site === 'same-origin' || site === 'none';
}

/** Whether the page that a request names as its origin lies under the host that is asked. Programs name none. */
export function isOwnOrigin(origin: string | undefined, host: string | undefined): boolean {
	return origin === undefined || urlOf(origin)?.host === host?.toLowerCase();
}

/** What a text says as an address; undefined where it is none. */
export function urlOf(text: string, base?: string): URL | undefined {
	// `URL.parse` is younger than the oldest Node that this runs on
	return URL.canParse(text, base) ? new URL(text, base) : undefined;
}

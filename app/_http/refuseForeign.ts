import { isOwnOrigin, isOwnSite } from './ownOrigin';

/**
 * Refuse a change that another site's page asks for: the browser says where a request comes from, and it must be here.
 *
 * @returns the refusal, or undefined when the request is our own page's or a program's without an origin
 */
export function refuseForeign(request: Request): Response | undefined {
	const said = (name: string) => request.headers.get(name) ?? undefined;
	if (isOwnOrigin(said('origin'), said('host')) && isOwnSite(said('sec-fetch-site'))) return undefined;
	return Response.json(
		{ message: 'This request came from another site.', hint: 'Open Deckside itself.' },
		{ status: 403 },
	);
}

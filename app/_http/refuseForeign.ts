/**
 * Refuse a change that another site's page asks for: the browser says where a request comes from, and it must be here.
 *
 * @returns the refusal, or undefined when the request is our own page's or a program's without an origin
 */
export function refuseForeign(request: Request): Response | undefined {
  const origin = request.headers.get('origin');
  const site = request.headers.get('sec-fetch-site');
  const own = origin === null || URL.parse(origin)?.host === request.headers.get('host');
  if (own && (site === null || site === 'same-origin' || site === 'none')) return undefined;
  return Response.json(
    { message: 'This request came from another site.', hint: 'Open Deckside itself.' },
    { status: 403 },
  );
}

/** A document as a JSON file to save; its first key says of what form and version it is. */
export function jsonAnswer(form: string, document: object, name: string): Response {
	return new Response(`${JSON.stringify({ deckside: form, ...document }, null, 2)}\n`, {
		headers: {
			'content-type': 'application/json',
			'content-disposition': `attachment; filename="${name}"`,
			'cache-control': 'no-store',
		},
	});
}

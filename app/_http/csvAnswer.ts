/** A table as a file to save. */
export function csvAnswer(text: string, name: string): Response {
	return new Response(text, {
		headers: {
			'content-type': 'text/csv; charset=utf-8; header=present',
			'content-disposition': `attachment; filename="${name}"`,
			'cache-control': 'no-store',
		},
	});
}

/**
 * The headers that every answer carries.
 *
 * Scripts run only with the nonce of this one answer, or when such a script loads them; nothing comes from another host; no
 * page may be framed. Answers under /api are data: a browser that is shown one may do nothing with it.
 *
 * @param nonce - fresh random text of this answer, base64url
 * @param development - the development server needs eval and style elements of its own
 * @source W3C Content Security Policy Level 3; WHATWG Fetch (nosniff, Cross-Origin-Resource-Policy)
 */
export function securityHeaders(path: string, nonce: string, development: boolean): Readonly<Record<string, string>> {
	return {
		'Content-Security-Policy': path.startsWith('/api/') ? DATA_POLICY : pagePolicy(nonce, development),
		'X-Content-Type-Options': 'nosniff',
		'Referrer-Policy': 'same-origin',
		'X-Frame-Options': 'DENY',
		'Cross-Origin-Opener-Policy': 'same-origin',
		'Cross-Origin-Resource-Policy': 'same-origin',
		'Permissions-Policy': 'geolocation=(), microphone=(), payment=(), usb=()',
	};
}

const DATA_POLICY = "default-src 'none'; frame-ancestors 'none'; sandbox";

function pagePolicy(nonce: string, development: boolean): string {
	return [
		"default-src 'self'",
		// WebAssembly is compiled from bytes that these very scripts write; text is never run
		`script-src 'self' 'nonce-${nonce}' 'strict-dynamic' 'wasm-unsafe-eval'${development ? " 'unsafe-eval'" : ''}`,
		development ? "style-src 'self' 'unsafe-inline'" : `style-src 'self' 'nonce-${nonce}'`,
		// places and colours that are worked out, as attributes of single elements; no style sheets
		"style-src-attr 'unsafe-inline'",
		"img-src 'self' blob: data:",
		"worker-src 'self' blob:",
		"object-src 'none'",
		"base-uri 'none'",
		"frame-ancestors 'none'",
		"form-action 'self'",
	].join('; ');
}

/** Name of the cookie that a joined device carries. */
const DEVICE_COOKIE = 'deckside-device';

/** How long a joined device stays joined without joining again, seconds: 90 days, a season at the table. Common practice, no source. */
const DEVICE_COOKIE_SECONDS = 90 * 24 * 3600;

/** The token in a Cookie header; undefined when there is none of the right form. */
export function deviceTokenOf(cookies: string | undefined): string | undefined {
	for (const pair of (cookies ?? '').split(';')) {
		const [name, value = ''] = pair.trim().split('=', 2);
		if (name === DEVICE_COOKIE && /^[A-Za-z0-9_-]{43}$/.test(value)) return value;
	}
	return undefined;
}

/**
 * The Set-Cookie header that gives a device its token: out of scripts' reach, and sent along from our own pages only.
 *
 * @param isEncrypted - the device came over https, and is never to send the token otherwise
 */
export function deviceCookie(token: string, isEncrypted: boolean): string {
	const rules = `Path=/; Max-Age=${DEVICE_COOKIE_SECONDS}; HttpOnly; SameSite=Strict`;
	return `${DEVICE_COOKIE}=${token}; ${rules}${isEncrypted ? '; Secure' : ''}`;
}

import { createHash } from 'node:crypto';

/** Lower-case hex SHA-256 of bytes or of a text in UTF-8. */
export function sha256Of(content: Uint8Array | string): string {
	return createHash('sha256').update(content).digest('hex');
}

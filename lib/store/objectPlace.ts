import 'server-only';
import { z } from 'zod';
import { TrayError } from '../errors/TrayError';

/** A store of objects that speaks the S3 protocol, and the key to it. */
export interface ObjectPlace {
	/** Of the bucket: `https://host/bucket`, or `https://bucket.host`; no slash at the end. */
	readonly url: string;
	readonly region: string;
	readonly accessKeyId: string;
	readonly secretAccessKey: string;
}

const settings = z.object({
	DECKSIDE_OBJECTS_URL: z
		.url({ protocol: /^https?$/ })
		.refine((url) => /^https?:\/\/[^/?#@]+(\/[^?#@]*)?$/.test(url), 'is an address without keys and questions'),
	DECKSIDE_OBJECTS_REGION: z.string().min(1).max(100).default('us-east-1'),
	DECKSIDE_OBJECTS_KEY: z.string().min(1),
	DECKSIDE_OBJECTS_SECRET: z.string().min(1),
});

/**
 * Where photos lie besides the database, as the environment says it.
 *
 * @returns undefined where DECKSIDE_OBJECTS_URL is not set
 * @throws TrayError `usage` that names the setting that is missing or wrong, and never a key
 */
export function objectPlaceFrom(environment: Readonly<Record<string, string | undefined>>): ObjectPlace | undefined {
	// set to nothing is not set
	const given = Object.fromEntries(Object.entries(environment).filter(([, value]) => value !== ''));
	if (given.DECKSIDE_OBJECTS_URL === undefined) return undefined;
	const read = settings.safeParse(given);
	if (!read.success) {
		const names = [...new Set(read.error.issues.map(({ path }) => path.join('.')))];
		const hint =
			'The address is http(s)://host/bucket; key and secret are those of a user that may read, write and list there.';
		throw new TrayError('usage', `For the store of photos ${names.join(' and ')} must be set rightly.`, hint);
	}
	const { DECKSIDE_OBJECTS_URL: url, DECKSIDE_OBJECTS_REGION: region, ...keys } = read.data;
	return {
		url: url.replace(/\/+$/, ''),
		region,
		accessKeyId: keys.DECKSIDE_OBJECTS_KEY,
		secretAccessKey: keys.DECKSIDE_OBJECTS_SECRET,
	};
}

import canonicalize from 'canonicalize';

/**
 * JSON in its one canonical form, so that the same data always has the same checksum.
 *
 * @param data - plain data; an undefined member is left out
 * @throws TypeError for what JSON cannot hold
 * @source RFC 8785 (JSON Canonicalization Scheme), through the canonicalize library
 */
export function canonicalJson(data: unknown): string {
	const json = canonicalize(data);
	if (json === undefined) throw new TypeError('canonicalJson needs data that JSON can hold');
	return json;
}

import 'server-only';

/**
 * Where originals, and what was made from them, lie by name: `photos/ab/cdef…`, `maps/….png`.
 *
 * Six verbs that a folder (`localFiles.ts`), a table of a database (`postgresFiles.ts`) and a store of objects (`objectFiles.ts`: GET,
 * HEAD, PUT, conditional PUT, LIST) all know, so that one takes the place of another.
 */
export interface Files {
	/** A folder of this machine for bytes that are still arriving or being worked on. */
	readonly passing: string;
	/** The bytes under a name; undefined where there are none. @throws TrayError `storage` */
	read(name: string): Promise<Uint8Array | undefined>;
	/** Size in bytes; undefined where there is no such name. @throws TrayError `storage` */
	sizeOf(name: string): Promise<number | undefined>;
	/** Keep bytes under a name, whole or not at all, in the place of earlier ones; safe once it resolves. @throws TrayError `storage` */
	write(name: string, bytes: Uint8Array): Promise<void>;
	/** The same unless the name is taken. @returns whether these bytes are the ones kept */
	writeFirst(name: string, bytes: Uint8Array): Promise<boolean>;
	/** Keep a file of the passing folder under a name; the file is gone then. @throws TrayError `storage` */
	moveIn(name: string, passingFile: string): Promise<void>;
	/** Names that begin so. */
	list(beginning: string): Promise<readonly string[]>;
}

/** Folders of what is not an original and cannot be made again. */
const BESIDE_ORIGINALS = ['maps/', 'records/', 'keys/'] as const;

/** A name that Deckside gives, and nothing that only looks like it: an operating system, or a person, may put files of their own there. */
const OWN_NAME = /^[a-z]+(\/[A-Za-z0-9][A-Za-z0-9_.-]*)+(?<!\.part)$/;

/** Names of all that is kept besides originals and cannot be made again: class maps, pictures of records, signing keys. */
export async function keptBesideOriginals(files: Files): Promise<readonly string[]> {
	const names: string[] = [];
	for (const folder of BESIDE_ORIGINALS) names.push(...(await files.list(folder)));
	return names.filter((name) => OWN_NAME.test(name));
}

/** What can be wrong with the place where data is kept. */
export type StorageTrouble =
	| 'full'
	| 'read-only'
	| 'locked'
	| 'in-use'
	| 'damaged'
	| 'unreachable'
	| 'away'
	| 'files-away'
	| 'files-barred'
	| 'newer'
	| 'photo-missing'
	| 'photo-altered'
	| 'map-missing';

/** What is wrong in a plain sentence, and what to do about it. */
export const STORAGE_SENTENCES: Readonly<Record<StorageTrouble, { readonly message: string; readonly hint: string }>> =
	{
		full: {
			message: 'The disk that Deckside keeps its data on is full.',
			hint: 'What you sent just now was not saved; everything before it is safe. Make room on that disk, then send it again.',
		},
		'read-only': {
			message: 'Deckside may not write where its data is kept.',
			hint: 'What is saved can be read, nothing can be changed. Let the user that Deckside runs as write there, then start Deckside again.',
		},
		locked: {
			message: 'Another program holds the database.',
			hint: 'What you sent just now was not saved. Close the program that works on the data, or wait until it is done, and send it again.',
		},
		'in-use': {
			message: 'Another Deckside is already using the data directory.',
			hint: 'Stop it first, or name another folder in DECKSIDE_DATA.',
		},
		damaged: {
			message: 'The database in the data directory is damaged.',
			hint: 'Stop Deckside, run "npm run data:check" to see how far, and restore the last backup if it says so.',
		},
		unreachable: {
			message: 'The data directory cannot be used.',
			hint: 'Check that the folder exists, that this user may write in it and that its disk is there, then try again.',
		},
		away: {
			message: 'The database server cannot be reached.',
			hint: 'What you sent just now was not saved; everything before it is safe. See that the server of DATABASE_URL runs and lets Deckside in, then send it again.',
		},
		'files-away': {
			message: 'The store of photos cannot be reached.',
			hint: 'Nothing that was kept is lost; what you sent just now was not saved. Figures and weights work; photos do again once the store of DECKSIDE_OBJECTS_URL answers. Then send it again.',
		},
		'files-barred': {
			message: 'The store of photos does not let Deckside in.',
			hint: 'Nothing that was kept is lost; what you sent just now was not saved. See that the bucket of DECKSIDE_OBJECTS_URL is there and that key, secret and region are right, then start Deckside again.',
		},
		newer: {
			message: 'The saved data is from another version of Deckside and was left untouched.',
			hint: 'Start the newer version, or name an empty folder in DECKSIDE_DATA.',
		},
		'photo-missing': {
			message: 'The original photo is missing where the data is kept.',
			hint: 'Send the photo again. What was read from it before is kept.',
		},
		'photo-altered': {
			message: 'The original photo was altered on disk.',
			hint: 'Send the photo again. What was read from it before is kept.',
		},
		'map-missing': {
			message: 'The picture of what was seen on this photo is missing where the data is kept.',
			hint: 'Read the photo again and it is made anew.',
		},
	};

/** Marks an error that a page has to explain; crosses to the browser, where messages of errors do not. */
export function storageDigest(trouble: StorageTrouble): string {
	return `storage-${trouble}`;
}

/** The trouble behind such a mark; undefined when the error is of another kind. */
export function storageTroubleOf(digest: string | undefined): StorageTrouble | undefined {
	const troubles = Object.keys(STORAGE_SENTENCES) as StorageTrouble[]; // the record's own keys
	return troubles.find((trouble) => storageDigest(trouble) === digest);
}

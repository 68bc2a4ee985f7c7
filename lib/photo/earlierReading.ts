import type { PhotoWarning } from './photoWarning';

/** Said of a photo whose reading is of an earlier version of the program, which might read it otherwise now. */
export const READ_EARLIER: PhotoWarning = {
	code: 'read-earlier',
	message: 'Read by an earlier version of Deckside; this one may read it otherwise. Read it again.',
};

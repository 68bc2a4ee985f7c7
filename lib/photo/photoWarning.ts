/** Something about a photo that the person who relies on its numbers must know. */
export interface PhotoWarning {
	/** Stable name for programs, lower case with hyphens, for example `glare` or `blurred`. */
	readonly code: string;
	/** One or two plain sentences: what is wrong, what to do, and what it does to the result. */
	readonly message: string;
}

/** Something about a run's balance that the person who relies on its numbers must know. */
export interface BalanceWarning {
	/** Stable name for programs, lower case with hyphens, for example `balance-does-not-close`. */
	readonly code: string;
	/** One or two plain sentences: what is wrong, what to do, and what it does to the result. */
	readonly message: string;
	/** Names of the products it is about, as in the sentence; absent where it is about the run. */
	readonly products?: readonly string[];
}

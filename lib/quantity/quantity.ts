/** A measured or estimated amount: best value and one standard uncertainty, in the same unit. */
export interface Quantity {
	readonly value: number;
	/** Standard uncertainty (k = 1), same unit as `value`, never negative. */
	readonly u: number;
}

/** A value with the interval that holds it 95 times in 100, all in the same unit (fractions 0 to 1 for shares). */
export interface Estimate {
	readonly value: number;
	readonly low: number;
	readonly high: number;
	/** True where the value cannot be told from nothing; `high` is then the limit to quote ("less than high"). */
	readonly belowDetectionLimit?: boolean;
}

/** Rounds after which the sums of a table of six classes are met to a millionth, zeros of one cell against many included. */
const ROUNDS = 200;

/**
 * A table of counts whose columns are brought to other sums while its rows keep theirs: what goes with what stays as it was, in
 * that every ratio of ratios between two rows and two columns is the table's own.
 *
 * @param table - rows true class, columns called class
 * @param columnSums - what the columns are to sum to, as much as the rows do together; a column without any count stays empty
 * @throws RangeError when there is not one sum a column
 * @source iterative proportional fitting: W. Deming, F. Stephan, Ann. Math. Statist. 11 (1940) 427 (from memory)
 */
export function rakeTable(table: readonly (readonly number[])[], columnSums: readonly number[]): number[][] {
	if (table.some((row) => row.length !== columnSums.length)) throw new RangeError('rakeTable needs one sum a column');
	const raked = table.map((row) => [...row]);
	const rowSums = table.map(sumOf);
	for (let round = 0; round < ROUNDS; round++) {
		for (const [j, wanted] of columnSums.entries()) {
			const sum = sumOf(raked.map((row) => row[j]!));
			if (sum > 0) for (const row of raked) row[j]! *= wanted / sum;
		}
		for (const [k, row] of raked.entries()) {
			const sum = sumOf(row);
			if (sum > 0) for (let j = 0; j < row.length; j++) row[j]! *= rowSums[k]! / sum;
		}
	}
	return raked;
}

function sumOf(counts: readonly number[]): number {
	return counts.reduce((sum, count) => sum + count, 0);
}

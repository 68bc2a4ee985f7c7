/**
 * Monte Carlo propagation: a measurement model evaluated on aligned draws of its inputs.
 *
 * Draws with the same index belong together, so whatever correlation the inputs have is carried through.
 *
 * @param inputs - one array of draws per input, all of one length
 * @param model - the measured quantity from one set of inputs, in the order given
 * @returns as many draws of the result
 * @throws RangeError when there are no inputs or their lengths differ
 * @source JCGM 101:2008 7.4
 */
export function propagate<const Inputs extends readonly ArrayLike<number>[]>(
	inputs: Inputs,
	model: (...values: { [Index in keyof Inputs]: number }) => number,
): Float64Array {
	const count = inputs[0]?.length ?? 0;
	if (inputs.length === 0 || inputs.some((draws) => draws.length !== count)) {
		throw new RangeError(`propagate needs inputs of one length, got ${inputs.map((draws) => draws.length).join(', ')}`);
	}
	const result = new Float64Array(count);
	const [first, second] = inputs;
	// models of one and two inputs, nearly all there are, without a list of values each time
	if (inputs.length <= 2) {
		const plain = model as (a: number, b?: number) => number;
		if (second === undefined) for (let i = 0; i < count; i++) result[i] = plain(first![i]!);
		else for (let i = 0; i < count; i++) result[i] = plain(first![i]!, second[i]!);
		return result;
	}
	const values = new Array<number>(inputs.length) as { -readonly [Index in keyof Inputs]: number }; // filled before each use
	for (let index = 0; index < count; index++) {
		for (let input = 0; input < inputs.length; input++) values[input] = inputs[input]![index]!;
		result[index] = model(...values);
	}
	return result;
}

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
  const values = new Array<number>(inputs.length) as { -readonly [Index in keyof Inputs]: number }; // filled before each use
  for (let index = 0; index < count; index++) {
    for (let input = 0; input < inputs.length; input++) values[input] = inputs[input]![index]!;
    result[index] = model(...values);
  }
  return result;
}

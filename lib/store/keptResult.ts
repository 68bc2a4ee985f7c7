/** Numbers that JSON has no words for. */
const NAMED = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN];

/** A result as text for the database: JSON, with numbers that are not finite by name, where JSON would make nothing of them. */
export function writeResult(result: unknown): string {
  return JSON.stringify(result, (_, value: unknown) =>
    typeof value === 'number' && !Number.isFinite(value) ? { number: String(value) } : value,
  );
}

/** The result that `writeResult` wrote; what of it is undefined is left out. */
export function readResult(text: string): unknown {
  return JSON.parse(text, (_, value: unknown) => {
    const isNamed = typeof value === 'object' && value !== null && 'number' in value && Object.keys(value).length === 1;
    return isNamed ? (NAMED.find((one) => String(one) === value.number) ?? value) : value;
  });
}

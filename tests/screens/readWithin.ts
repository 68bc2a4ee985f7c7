/** Longest that reading the demonstration's dozen photos may take on a busy machine, milliseconds. */
export const READ_WITHIN_MS = 600_000;

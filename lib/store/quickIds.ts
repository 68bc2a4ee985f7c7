/**
 * The one run, and its lot, that hold quick checks: photos graded without a run of their own. Each check is a product of it.
 * Fixed, so that data taken from one machine to another still means the same; lists of runs and lots leave them out.
 */
export const QUICK_LOT_ID = '7a1c0000-0000-4000-8000-000000000001';
export const QUICK_RUN_ID = '7a1c0000-0000-4000-8000-000000000002';

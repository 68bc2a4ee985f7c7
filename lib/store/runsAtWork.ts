import type { WorkedRun } from './analysis';

/** What figures of a run were worked out from: they are those of this state of it and of no other. */
export interface FiguresOrigin {
  /** The name they are kept under; another state of the run has another. */
  readonly key: string;
  /** The readings that they rest on, by their keys; one that two photos share is there twice. */
  readonly readings: readonly string[];
  /** What each product was called, by its id. */
  readonly labels: Readonly<Record<string, string>>;
}

/** What came of working a run out and is not on record: a result that is not kept yet or can't be, or none. */
export type NotKept = { readonly origin: FiguresOrigin } & (
  | { readonly worked: WorkedRun }
  | { readonly error: unknown }
);

/** A state of a run that is to be worked out. */
export interface RunTask {
  readonly key: string;
  readonly work: () => Promise<void>;
}

/** What one program does for the pages of a store's runs, each by the run's id. */
export interface RunsAtWork {
  /** The state that is being worked out, and the one that is wanted after it. */
  readonly underWay: Map<string, { now: RunTask; next: RunTask | undefined }>;
  readonly notKept: Map<string, NotKept>;
}

/** Nothing under way. */
export function noRunsAtWork(): RunsAtWork {
  return { underWay: new Map(), notKept: new Map() };
}

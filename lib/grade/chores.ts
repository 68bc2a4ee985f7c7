import { type LightCorrection, lightFromMat, type MatRead } from '../colour/correctLight';
import type { Material } from '../material/material';
import { type RidgeWidths, ridgeWidthsOfLabels } from '../particles/localWidth';
import type { Surface } from '../photo/surface';
import type { CellCounts } from '../segmentation/cells';
import type { LookupTable } from '../segmentation/lookupTable';
import { colourTable } from '../segmentation/segmentByThreshold';

/** Parts of a photo's reading that another thread can do meanwhile: each takes plain data and gives the same bits wherever it is done. */
const CHORES = {
  /** The light, from what the mat says of it. */
  light: (read: MatRead, surface: Surface): LightCorrection => lightFromMat(read, surface),
  /** The class of every colour on the photo. */
  colours: (cells: CellCounts, kind: Surface['kind'], material: Material): LookupTable =>
    colourTable(cells, { kind }, material),
  /** How wide pieces are by their ridges, from the labels alone. */
  ridges: (labels: Uint8Array, width: number, height: number): RidgeWidths =>
    ridgeWidthsOfLabels(labels, width, height),
};

type Kind = keyof typeof CHORES;
type Of<K extends Kind> = Parameters<(typeof CHORES)[K]>;
type Done<K extends Kind> = ReturnType<(typeof CHORES)[K]>;

/** Where a chore stands: nobody has begun it, the other thread has, or it was taken back before. */
const [OPEN, BEGUN, TAKEN_BACK] = [0, 1, 2] as const;

/** A chore as it is handed over. */
export interface ChoreOrder {
  readonly kind: Kind;
  /** What it is done from, by place. */
  readonly of: readonly unknown[];
  /** Where it stands. */
  readonly state: Int32Array<SharedArrayBuffer>;
}

/** What comes of an order that was not taken back; nothing where it failed, so that whoever wants it sees for himself how. */
export type ChoreValue = Done<Kind> | undefined;

/** Another thread that takes chores. */
export interface ChoreHand {
  /** Above 0 while a processor has nothing to do. */
  readonly spare: Int32Array<SharedArrayBuffer>;
  /**
   * Hand an order over.
   *
   * @returns what comes of it, nothing where the thread ends before; and `leave`, to be called where nobody will wait for it. Undefined where there is
   *   nobody to take orders
   */
  take(order: ChoreOrder): { readonly value: Promise<ChoreValue>; leave(): void } | undefined;
}

/** Does an order unless it was taken back: what the other thread does. */
export function doOrder({ kind, of, state }: ChoreOrder): ChoreValue | 'taken back' {
  if (Atomics.compareExchange(state, 0, OPEN, BEGUN) !== OPEN) return 'taken back';
  try {
    // orders come from `begin`, which puts together what belongs together
    return (CHORES[kind] as (...of: readonly unknown[]) => Done<Kind>)(...of);
  } catch {
    return undefined;
  }
}

/**
 * Have a chore begun by another thread, where a processor has nothing to do.
 *
 * @returns gives what came of it, once it is asked for; undefined where the other thread had not come to it or has ended: it is then to be done here
 */
export function begin<K extends Kind>(
  hand: ChoreHand | undefined,
  kind: K,
  ...of: Of<K>
): () => Promise<Done<K> | undefined> {
  if (hand === undefined || Atomics.load(hand.spare, 0) <= 0) return async () => undefined;
  const state = new Int32Array(new SharedArrayBuffer(4));
  const taken = hand.take({ kind, of, state });
  return async () => {
    if (Atomics.compareExchange(state, 0, OPEN, TAKEN_BACK) === OPEN) taken?.leave();
    // an order's value is of its kind
    return (await taken?.value) as Done<K> | undefined;
  };
}

import 'server-only';
import { randomUUID } from 'node:crypto';
import { stat } from 'node:fs/promises';
import { netMassOf } from '../balance/dryMass';
import { TrayError } from '../errors/TrayError';
import { photoRequestSchema } from '../report/photoFile';
import { type RunFileInput, runFileSchema } from '../report/runFile';
import { addCheck } from './checks';
import type { Store } from './database';
import { type ReadingChoice, readingChoiceSchema } from './entries';
import { addLot, listLots } from './lots';
import { DEFAULT_MATERIAL_NAME, listMaterials } from './materials';
import { photoPath } from './photoFiles';
import { addPhoto } from './photos';
import { listProducts, weighProduct } from './products';
import { addRun } from './runs';

/** A run that was taken in from a file. */
export interface ImportedRun {
  readonly runId: string;
  /** Photos whose originals do not lie in this data folder; they are to be sent again. */
  readonly missingPhotos: readonly string[];
}

/**
 * Take in a run as `exportRun` wrote it: lot, settings, weights, checks, and its photos where their originals lie in the
 * data folder.
 *
 * A lot of the same name takes the run; otherwise the file's lot is made. Everything is worked out again, nothing is believed.
 *
 * @param text - the file's content
 * @throws TrayError `file-unreadable` with what is wrong, `material-unreadable` when the material is not on record
 */
export async function importRun(store: Store, text: string): Promise<ImportedRun> {
  const file = readRun(text);
  const material = file.material ?? DEFAULT_MATERIAL_NAME;
  if (!(await listMaterials(store)).some(({ name }) => name === material)) {
    const hint = 'Add it on the materials page first.';
    throw new TrayError(
      'material-unreadable',
      `The run was read with the material ${material}, which is not here.`,
      hint,
    );
  }
  const runId = randomUUID();
  await addRun(
    store,
    runId,
    await lotFor(store, file),
    {
      name: file.name,
      runDate: file.date ?? new Date().toISOString().slice(0, 10),
      settings: file.settings ?? {},
      feed: {
        ...file.feed,
        ...(file.loss === undefined ? {} : { loss: file.loss.weighing }),
        ...(file.scales === undefined ? {} : { scales: file.scales }),
      },
      notes: file.note ?? '',
      material,
    },
    file.products,
  );
  const products = await listProducts(store, runId);
  const missing: string[] = [];
  for (const [p, given] of file.products.entries()) missing.push(...(await addContent(store, products[p]!.id, given)));
  return { runId, missingPhotos: missing };
}

function readRun(text: string): RunFileInput {
  let given: unknown;
  try {
    given = JSON.parse(text);
  } catch (cause) {
    const hint = 'Choose a file that was saved from a run.';
    throw new TrayError('file-unreadable', 'This file is not JSON.', hint, { cause });
  }
  const parsed = runFileSchema.safeParse(given);
  // proved by the schema; kept as typed, so that weights are shown as they were written
  if (parsed.success) return given as RunFileInput;
  const issue = parsed.error.issues[0];
  const where = issue === undefined || issue.path.length === 0 ? '' : ` (${issue.path.join('.')})`;
  throw new TrayError(
    'file-unreadable',
    `This file can't be taken in: ${issue?.message ?? 'its form is not that of a run.'}${where}`,
    'Choose a file that was saved from a run.',
  );
}

async function lotFor(store: Store, { lot }: RunFileInput): Promise<string> {
  const name = lot?.name.trim() ?? 'Lot of an imported run';
  const there = (await listLots(store)).find((one) => one.name === name);
  if (there !== undefined) return there.id;
  const id = randomUUID();
  const received = lot?.received === undefined ? null : netMassOf(runFileSchema.shape.lot.parse(lot)!.received!).value;
  await addLot(store, id, {
    name,
    source: lot?.source ?? '',
    receivedMassKg: received,
    receivedUnit: 'kg',
    treatment: '',
    notes: lot?.note ?? '',
  });
  return id;
}

/** Weighing, spreads with their photos, and checks of one product. @returns names of photos that are not here */
async function addContent(
  store: Store,
  productId: string,
  given: RunFileInput['products'][number],
): Promise<readonly string[]> {
  if (given.weighing !== undefined) await weighProduct(store, productId, given.weighing);
  const spreads = given.spreads?.map(({ photos }) => photos) ?? given.photos?.map((photo) => [photo]) ?? [];
  const missing: string[] = [];
  const spreadIds = spreads.map(() => randomUUID());
  const made = new Set<string>();
  for (const [s, photos] of spreads.entries()) {
    for (const request of photos.map((photo) => photoRequestSchema.parse(photo))) {
      const sha256 = 'sha256' in request ? request.sha256 : undefined;
      const size = sha256 === undefined ? undefined : await sizeOf(store, sha256);
      if (sha256 === undefined || size === undefined) {
        missing.push(request.photo);
        continue;
      }
      const sent = { id: randomUUID(), spreadId: spreadIds[s]!, productId, originalName: request.photo };
      await addPhoto(store, sent, { sha256, sizeBytes: size }, choiceOf(request));
      made.add(sent.spreadId);
    }
  }
  for (const entry of given.checks ?? []) {
    const spreadId = 'spread' in entry ? spreadIds[Number(entry.spread) - 1] : undefined;
    // a hand sort belongs to its spread's photos; without them it says nothing
    if (spreadId !== undefined && !made.has(spreadId)) continue;
    await addCheck(store, { id: randomUUID(), productId, ...(spreadId === undefined ? {} : { spreadId }), entry });
  }
  return missing;
}

function choiceOf({ surface, corners, fieldMm }: ReturnType<typeof photoRequestSchema.parse>): ReadingChoice {
  return readingChoiceSchema.parse({
    surface,
    ...(corners === undefined ? {} : { corners: corners.flatMap(({ x, y }) => [x, y]) }),
    ...(fieldMm === undefined ? {} : { fieldWidthMm: fieldMm.widthMm, fieldHeightMm: fieldMm.heightMm }),
  });
}

async function sizeOf({ directory }: Store, sha256: string): Promise<number | undefined> {
  try {
    return (await stat(photoPath(directory, sha256))).size;
  } catch (cause) {
    if (cause instanceof Error && 'code' in cause && cause.code === 'ENOENT') return undefined;
    throw cause;
  }
}

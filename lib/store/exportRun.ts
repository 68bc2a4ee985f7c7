import 'server-only';
import { printKept } from '../report/format';
import { type RunFileInput, runFileSchema } from '../report/runFile';
import { checksWithPlaces } from './checks';
import type { Store } from './database';
import { getLot } from './lots';
import type { Photo } from './photos';
import type { RunBoard } from './workedRun';

/**
 * A run as a file that the command line takes. Photos stand by the names they were sent under; the file is laid beside them.
 */
export async function exportRun(store: Store, { run, products }: RunBoard): Promise<RunFileInput> {
  const lot = await getLot(store, run.lotId);
  const { weighing, grade, loss, scales } = run.feed;
  const file: RunFileInput = {
    deckside: 'run/1',
    name: run.name,
    date: run.runDate,
    ...(run.notes === '' ? {} : { note: run.notes }),
    lot: {
      name: lot.name,
      ...(lot.source === '' ? {} : { source: lot.source }),
      ...(lot.treatment + lot.notes === '' ? {} : { note: [lot.treatment, lot.notes].filter(Boolean).join('\n') }),
      ...(lot.receivedMassKg === null ? {} : { received: { gross: `${printKept(lot.receivedMassKg)} kg` } }),
    },
    settings: run.settings,
    material: run.material,
    feed: { ...(weighing === undefined ? {} : { weighing }), ...(grade === undefined ? {} : { grade }) },
    ...(loss === undefined ? {} : { loss: { weighing: loss } }),
    ...(scales === undefined ? {} : { scales }),
    products: products.map((product) => ({
      name: product.name,
      role: product.role,
      ...(product.weighing === undefined ? {} : { weighing: product.weighing }),
      spreads: product.spreads.map(({ photos }) => ({ photos: photos.map(requestOf) })),
      ...(product.checks.length === 0
        ? {}
        : {
            checks: [
              ...checksWithPlaces(
                product.checks,
                product.spreads.map(({ id }) => id),
              ),
            ],
          }),
    })),
  };
  runFileSchema.parse(file);
  return file;
}

function requestOf({ originalName, choice, sha256 }: Photo) {
  const { corners, fieldWidthMm, fieldHeightMm } = choice;
  return {
    photo: originalName,
    sha256,
    surface: choice.surface,
    ...(corners === undefined ? {} : { corners: [...corners] }),
    ...(fieldWidthMm === undefined || fieldHeightMm === undefined
      ? {}
      : { fieldMm: [fieldWidthMm, fieldHeightMm] as [number, number] }),
  };
}

import 'server-only';
import { existsSync } from 'node:fs';
import sharp from 'sharp';
import type { MaterialClass } from '../material/classes';
import { decodePhoto } from '../photo/decode';
import { drawClasses } from '../report/drawClasses';
import { classMapPath } from './analysisQueue';
import type { Store } from './database';
import { notFound } from './notFound';
import { readPhoto } from './photoFiles';
import type { Photo } from './photos';
import { PREVIEW_SIDE_PX } from './pictures';
import { storageError } from './storageFault';

/**
 * What the program saw on a photo, drawn for the screen, cropped as the photo is.
 *
 * Class codes are picked, never blended, when the picture is made smaller.
 *
 * @param only - one class alone
 * @returns a PNG
 * @throws TrayError `not-found` while the photo is not graded
 */
export async function classPictureOf(
  store: Store,
  photo: Pick<Photo, 'sha256' | 'state'>,
  only?: MaterialClass | 'unjudged',
): Promise<Uint8Array> {
  if (photo.state.kind !== 'graded') return notFound('class picture yet');
  const fit = { width: PREVIEW_SIDE_PX, height: PREVIEW_SIDE_PX, fit: 'inside', withoutEnlargement: true } as const;
  const map = classMapPath(store.directory, photo.state.analysisKey);
  if (!existsSync(map)) throw storageError('map-missing');
  const labels = await sharp(map)
    .resize({ ...fit, kernel: 'nearest' })
    .extractChannel(0)
    .raw()
    .toBuffer({ resolveWithObject: true });
  const { width, height } = labels.info;
  const { raster } = await decodePhoto(await readPhoto(store.directory, photo.sha256));
  const grey = await sharp(raster.data, { raw: { width: raster.width, height: raster.height, channels: 3 } })
    .resize({ width, height, fit: 'fill' })
    .greyscale()
    .extractChannel(0)
    .raw()
    .toBuffer();
  const rgb = drawClasses(grey, labels.data, only);
  return sharp(rgb, { raw: { width, height, channels: 3 } })
    .png({ compressionLevel: 6 })
    .toBuffer();
}

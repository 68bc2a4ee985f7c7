/** Where a photo belongs; ids are made on the phone, so that sending twice stores once. */
export interface PhotoPlace {
  readonly photo: string;
  readonly product: string;
  readonly spread: string;
}

export type SendOutcome = { readonly ok: true } | { readonly ok: false; readonly message: string };

/**
 * Send one photo as it is, with its checksum where the browser can make one.
 *
 * @param progress - told the share sent, 0 to 1
 * @returns kept, or a sentence that stands beside the file
 */
export async function sendPhoto(
  file: File,
  place: PhotoPlace,
  progress: (share: number) => void,
): Promise<SendOutcome> {
  let sha256: string | undefined;
  try {
    sha256 = await checksumOf(file);
  } catch {
    return { ok: false, message: 'The browser could not read this file. Choose it again.' };
  }
  const query = new URLSearchParams({ product: place.product, spread: place.spread, name: file.name });
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    request.open('PUT', `/api/photos/${place.photo}?${query}`);
    if (sha256 !== undefined) request.setRequestHeader('x-sha256', sha256);
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.upload.onprogress = ({ loaded, total }) => progress(total > 0 ? loaded / total : 0);
    request.onload = () => resolve(outcomeOf(request));
    const lost = { ok: false, message: 'The connection broke before the photo arrived. Choose it again.' } as const;
    request.onerror = () => resolve(lost);
    request.ontimeout = () => resolve(lost);
    request.send(file);
  });
}

/** Browsers offer checksums only on this machine's own address and over encrypted links; elsewhere none is sent. */
async function checksumOf(file: File): Promise<string | undefined> {
  const bytes = await file.arrayBuffer();
  if (crypto.subtle === undefined) return undefined;
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return [...digest].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

function outcomeOf(request: XMLHttpRequest): SendOutcome {
  if (request.status === 201) return { ok: true };
  try {
    const { message, hint } = JSON.parse(request.responseText) as { message?: unknown; hint?: unknown };
    if (typeof message === 'string')
      return { ok: false, message: `${message} ${typeof hint === 'string' ? hint : ''}` };
  } catch {
    // an answer without words gets the sentence below
  }
  return { ok: false, message: 'The photo was not taken in. Choose it again.' };
}

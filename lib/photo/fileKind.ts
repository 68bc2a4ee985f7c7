/** A kind of picture file, known by its first bytes. */
type Signature = readonly [kind: string, at: number, bytes: string];

/** @source ITU-T T.81 (JPEG), W3C PNG, RFC 9649 (WebP), TIFF 6.0, ISO/IEC 14496-12 (file type box of HEIC and AVIF) */
const PHOTOS: readonly Signature[] = [
  ['JPEG', 0, '\xff\xd8\xff'],
  ['PNG', 0, '\x89PNG\r\n\x1a\n'],
  ['WebP', 8, 'WEBP'],
  ['TIFF', 0, 'II*\0'],
  ['TIFF', 0, 'MM\0*'],
  ['HEIC or AVIF', 4, 'ftyp'],
];

/** What people send in the place of a photo, so that it can be told by its name. */
const OTHERS: readonly Signature[] = [
  ['GIF', 0, 'GIF8'],
  ['PDF', 0, '%PDF'],
  ['ZIP', 0, 'PK\x03\x04'],
];

/** Start of a drawing or a page: text in angle brackets. */
const MARKUP = /^[\s\u00ef\u00bb\u00bf]*<(\?xml|svg|!doctype|html|!--)/i;

/**
 * What a file is by its first bytes, before any decoder touches it: only photo kinds are handed to one, so that readers of
 * drawings, documents and rare formats are never run on what a stranger sends.
 *
 * @returns `photo`, or the name of what it is instead: `GIF`, `SVG`; undefined when it is not known
 */
export function fileKind(bytes: Uint8Array): 'photo' | string | undefined {
  const head = Buffer.from(bytes.subarray(0, 256)).toString('latin1');
  const is = ([, at, sign]: Signature) => head.startsWith(sign, at);
  if (PHOTOS.some(is)) return 'photo';
  const other = OTHERS.find(is)?.[0];
  if (other !== undefined) return other;
  const markup = MARKUP.exec(head)?.[1]?.toLowerCase();
  if (markup === undefined) return undefined;
  return /<svg/i.test(head) ? 'SVG' : 'HTML or XML';
}

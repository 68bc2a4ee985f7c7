import { create } from 'qrcode';

/** A QR code as one drawing path: dark modules as unit squares, without the quiet zone. */
export interface QrPath {
  /** Modules along a side. */
  readonly size: number;
  readonly path: string;
}

/** White modules that a reader needs round the code. @source ISO/IEC 18004 (from memory) */
export const QR_QUIET_MODULES = 4;

/** A text as a QR code, through the qrcode library; a seventh of it may be hidden and it still reads (level M). */
export function qrPath(text: string): QrPath {
  const { size, data } = create(text, { errorCorrectionLevel: 'M' }).modules;
  const rows = Array.from({ length: size }, (_, y) => runsOf(data.subarray(y * size, (y + 1) * size), y));
  return { size, path: rows.join('') };
}

/** Runs of dark modules in a row as rectangles, so that no hair lines show between them. */
function runsOf(row: Uint8Array, y: number): string {
  let path = '';
  for (let x = 0; x < row.length; x++) {
    if (row[x] === 0) continue;
    const start = x;
    while (x < row.length && row[x] !== 0) x++;
    path += `M${start} ${y}h${x - start}v1h-${x - start}z`;
  }
  return path;
}

import path from 'node:path';
import { Font } from '@react-pdf/renderer';

/** The family that PDFs are set in. */
export const PDF_FONT = 'DejaVu Sans';

/** Make the family known to the PDF renderer, once; words are never broken. */
export function registerPdfFont(): void {
  if (Font.getRegisteredFontFamilies().includes(PDF_FONT)) return;
  const folder = path.join(process.cwd(), 'node_modules/dejavu-fonts-ttf/ttf');
  Font.register({
    family: PDF_FONT,
    fonts: [
      { src: path.join(folder, 'DejaVuSans.ttf') },
      { src: path.join(folder, 'DejaVuSans-Bold.ttf'), fontWeight: 'bold' },
    ],
  });
  Font.registerHyphenationCallback((word) => [word]);
}

/**
 * Classes of the pixels inside the field's bounding box of one photo.
 *
 * `labels` holds one class code a pixel (lib/material/classes.ts), height x width, row-major; pixels of the box that lie
 * outside the field polygon are 0 and `areaMm2` is 0 there.
 */
export interface ClassMap {
  readonly width: number;
  readonly height: number;
  /** Where the box's top-left pixel sits on the upright photo. */
  readonly columnOffset: number;
  readonly rowOffset: number;
  readonly labels: Uint8Array;
  /** Covered share of each pixel, 0 to 255; absent where every particle pixel counts whole. */
  readonly cover?: Uint8Array;
}

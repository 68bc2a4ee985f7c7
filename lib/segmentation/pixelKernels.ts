import { halve } from './halveKernel';
import { kernelsOf } from './kernelMemory';

/** What passes over a photo's pixels are made of. */
interface PixelFunctions {
  halve(upper: number, lower: number, light: number, into: number, pixels: number, codes: number): void;
}

export const pixelKernels = kernelsOf<PixelFunctions>([halve]);

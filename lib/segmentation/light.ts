import type { LightCorrection } from '../colour/correctLight';

/** The part of a light correction that turns a photo's bytes into reflectance. */
export type Light = Pick<LightCorrection, 'tables' | 'falloff'>;

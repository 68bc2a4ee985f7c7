import { createHash } from 'node:crypto';
import { measuredErrorRates } from '../grade/measuredErrorRates';

/** Raised whenever the code could read other numbers from the same photo. */
const CODE_VERSION = 3;

/** Part of every kept result's key: results of older code or older error rates are worked out again, never shown. */
export const ENGINE_VERSION = `${CODE_VERSION}-${createHash('sha256')
  .update(JSON.stringify(measuredErrorRates))
  .digest('hex')
  .slice(0, 12)}`;

import 'server-only';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { measuredErrorRates } from '../grade/measuredErrorRates';
import { MODEL_FOLDER } from '../segmentation/modelFiles';

/** Raised whenever the code could read other numbers from the same photo. */
const CODE_VERSION = 52;

/** Part of every kept reading's key: nothing is read by older code, error rates or model. What these read before stands, and says so, until it is read again. */
export const ENGINE_VERSION = `${CODE_VERSION}-${createHash('sha256')
	.update(JSON.stringify(measuredErrorRates))
	.update(modelChecksum())
	.digest('hex')
	.slice(0, 12)}`;

/** Raised whenever the code could make other figures of readings that stay as they are. */
const ACCOUNT_VERSION = 25;

/** Part of every kept account's key, so that grades and balances of older code are worked out again and no photo is read again. */
export const ACCOUNT_ENGINE_VERSION = `${ENGINE_VERSION}-${ACCOUNT_VERSION}`;

function modelChecksum(): string {
	const file = path.resolve(/* turbopackIgnore: true */ MODEL_FOLDER, 'checksum');
	return existsSync(file) ? readFileSync(file, 'utf8') : 'none';
}

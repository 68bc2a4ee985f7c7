import { type ErrorRatesByKind, errorRatesByKindSchema } from './errorRates';
import measured from './measuredErrorRates.json';
import { SCENE_SCATTER } from './sceneScatter';

const tables = errorRatesByKindSchema.parse(measured);

/**
 * Error rates of both methods as measured on rendered pictures with truth; `source` of each table says on which. Those of colours alone carry
 * how scenes scatter beyond them.
 */
export const measuredErrorRates: ErrorRatesByKind = {
	...tables,
	'threshold-mat': { ...tables['threshold-mat'], sceneScatter: SCENE_SCATTER['threshold-mat'] },
	'threshold-tray': { ...tables['threshold-tray'], sceneScatter: SCENE_SCATTER['threshold-tray'] },
};

import { errorRatesByKindSchema } from './errorRates';
import measured from './measuredErrorRates.json';

/** Error rates of both methods as measured on rendered pictures with truth; `source` of each table says on which. */
export const measuredErrorRates = errorRatesByKindSchema.parse(measured);

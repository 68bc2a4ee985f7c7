import { z } from 'zod';
import type { Limit, LimitClass } from './limit';

const share = z.number().gt(0).lt(1);
const shares = {
	copperAtLeast: share.optional(),
	aluminiumAtMost: share.optional(),
	insulationAtMost: share.optional(),
	otherAtMost: share.optional(),
	foreignAtMost: share.optional(),
};

/** Limits of a contract as agreed between seller and buyer; shares are fractions of the dry mass. */
export const contractLimitsSchema = z
	.strictObject({
		/** What the contract is called, so that both find it again. */
		name: z.string().trim().min(1).max(80),
		year: z.string().regex(/^\d{4}$/, 'Write the year of the contract with four digits.'),
		...shares,
	})
	.refine(({ name: _name, year: _year, ...limits }) => Object.values(limits).some((limit) => limit !== undefined), {
		message: 'Enter at least one limit of the contract.',
	});
export type ContractLimits = z.infer<typeof contractLimitsSchema>;

/** A contract's limits as a class. */
export function contractClass(contract: ContractLimits): LimitClass {
	const source = { title: contract.name, year: contract.year };
	return {
		id: 'contract',
		kind: 'contract',
		name: contract.name,
		item: 'limits agreed between seller and buyer, as entered',
		limits: limitsOf(contract, source),
		conditions: [],
	};
}

function limitsOf(contract: ContractLimits, source: Limit['source']): readonly Limit[] {
	const { copperAtLeast, aluminiumAtMost, insulationAtMost, otherAtMost, foreignAtMost } = contract;
	const most = (name: Limit['share'], fraction: number | undefined): Limit[] =>
		fraction === undefined ? [] : [{ share: name, side: 'most', fraction, source }];
	return [
		...(copperAtLeast === undefined
			? []
			: [{ share: 'copper', side: 'least', fraction: copperAtLeast, source } satisfies Limit]),
		...most('aluminium', aluminiumAtMost),
		...most('insulation', insulationAtMost),
		...most('other', otherAtMost),
		...most('foreign', foreignAtMost),
	];
}

import { accountRun } from '@/lib/balance/account';
import type { Component } from '@/lib/material/classes';
import type { Quantity } from '@/lib/quantity/quantity';

/** One short ton, kilograms. */
export const SHORT_TON_KG = 907.18474;

type Shares = Readonly<Record<Component, Quantity>>;

/** A composition of copper and insulation. */
export function shares(copper: number, u = 0): Shares {
	const none = { value: 0, u: 0 };
	return { copper: { value: copper, u }, aluminium: none, insulation: { value: 1 - copper, u }, other: none };
}

/**
 * A short ton of waste with 4 % copper, of which a share is won as a concentrate of a grade; nothing is uncertain.
 *
 * @param grade - copper grade of the concentrate
 */
export function exactRun(recovery = 0.85, grade = 1) {
	const copperKg = 0.04 * SHORT_TON_KG;
	const wonKg = (copperKg * recovery) / grade;
	const restKg = SHORT_TON_KG - wonKg;
	return accountRun({
		runId: 'exact run',
		seed: 20,
		drawCount: 50,
		products: [
			{ id: 'c', name: 'Concentrate', role: 'concentrate', dryMassKg: { value: wonKg, u: 0 }, grade: shares(grade) },
			{
				id: 't',
				name: 'Tailings',
				role: 'tailings',
				dryMassKg: { value: restKg, u: 0 },
				grade: shares((copperKg * (1 - recovery)) / restKg),
			},
		],
	});
}

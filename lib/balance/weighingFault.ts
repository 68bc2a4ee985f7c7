import { TrayError } from '../errors/TrayError';
import { fromKg, type MassUnit } from '../quantity/units';
import type { Moisture, Weighing } from './weighing';

/** What of a weighing cannot be. */
export interface WeighingFault {
	/** Where it was entered, as in `weighingSchema`: `['moisture', 'wet']`. */
	readonly path: readonly string[];
	/** `mass-impossible`, with a sentence. */
	readonly error: TrayError;
}

/** Heavier than this is a slip of the pen: a shaking table takes a few tonnes an hour at most (common practice, no source). */
const ABSURD_KG = 100_000;

/** What of the weights, as they were read off the scale, cannot be: negative or absurd ones, a tare above gross. */
export function netFaultOf({
	grossKg,
	tareKg = 0,
	resolutionKg,
	repeatabilityKg,
	unit,
}: Weighing): WeighingFault | undefined {
	const impossible =
		impossibleMass('gross', 'The gross weight', grossKg, unit) ??
		impossibleMass('tare', 'The tare', tareKg, unit) ??
		impossibleMass('resolution', "The scale's resolution", resolutionKg, unit) ??
		impossibleMass('repeatability', 'The repeatability', repeatabilityKg, unit);
	if (impossible !== undefined || tareKg <= grossKg) return impossible;
	return fault(
		['tare'],
		`The empty bin (${inUnit(tareKg, unit)}) is heavier than the full one (${inUnit(grossKg, unit)}).`,
		'Check both weights; they may be swapped.',
	);
}

/** What of a weighing cannot be, water and all: besides `netFaultOf`, all of it water, a sub-sample that got heavier, more water than was weighed. */
export function weighingFaultOf(weighing: Weighing): WeighingFault | undefined {
	const { grossKg, tareKg = 0, moisture, unit } = weighing;
	return netFaultOf(weighing) ?? (moisture && moistureFaultOf(moisture, grossKg - tareKg, unit));
}

function moistureFaultOf(moisture: Moisture, netKg: number, unit: MassUnit): WeighingFault | undefined {
	if (moisture.kind === 'fraction') {
		const { fraction } = moisture;
		if (fraction >= 0 && fraction < 1) return undefined;
		return fault(
			['moisture', 'fraction'],
			`A moisture of ${fraction} of the wet weight leaves nothing dry.`,
			'Moisture is water over wet weight: write 12 per cent as 0.12.',
		);
	}
	if (moisture.kind === 'allowance') {
		const { waterKg, uKg } = moisture;
		const impossible =
			impossibleMass(['moisture', 'water'], 'The allowance for water', waterKg, unit) ??
			impossibleMass(['moisture', 'u'], "The allowance's uncertainty", uKg, unit);
		if (impossible !== undefined || waterKg < netKg) return impossible;
		return fault(
			['moisture', 'water'],
			`The allowance for water (${inUnit(waterKg, unit)}) is as much as what was weighed (${inUnit(netKg, unit)}).`,
			'Check the allowance, or dry a sub-sample and weigh it.',
		);
	}
	const { wetKg, dryKg } = moisture;
	const impossible =
		impossibleMass(['moisture', 'wet'], "The sub-sample's wet weight", wetKg, unit) ??
		impossibleMass(['moisture', 'dry'], "The sub-sample's dry weight", dryKg, unit);
	if (impossible !== undefined || (wetKg > 0 && dryKg <= wetKg && dryKg !== 0)) return impossible;
	return fault(
		['moisture', 'wet'],
		`The sub-sample weighed ${inUnit(wetKg, unit)} wet and ${inUnit(dryKg, unit)} dry, which cannot be.`,
		'Dry weight lies above nothing and not above the wet weight; check both.',
	);
}

function impossibleMass(
	at: string | readonly string[],
	what: string,
	massKg: number,
	unit: MassUnit,
): WeighingFault | undefined {
	if (massKg >= 0 && massKg <= ABSURD_KG) return undefined;
	const why = Number.isNaN(massKg)
		? `${what} is not a number.`
		: massKg < 0
			? `${what} is below zero (${inUnit(massKg, unit)}).`
			: `${what} is over 100 tonnes (${inUnit(massKg, unit)}).`;
	return fault([at].flat(), why, 'Check the number and its unit.');
}

function fault(path: readonly string[], message: string, hint: string): WeighingFault {
	return { path, error: new TrayError('mass-impossible', message, hint) };
}

/** As it was given, free of the digits that a change of units makes up. */
function inUnit(massKg: number, unit: MassUnit): string {
	return `${Number(fromKg(massKg, unit).toPrecision(6))} ${unit === 'shortTon' ? 'short ton' : unit}`;
}

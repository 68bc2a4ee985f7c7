import { TrayError } from '../errors/TrayError';
import type { Quantity } from '../quantity/quantity';
import { fromKg, type MassUnit } from '../quantity/units';
import type { StreamInput } from './accountInput';
import type { Moisture, Weighing } from './weighing';

/** Heavier than this is a slip of the pen: a shaking table takes a few tonnes an hour at most (common practice, no source). */
const ABSURD_KG = 100_000;

/** Relative standard uncertainty of a moisture given without one (our choice; a drying oven's own scatter is smaller). */
const MOISTURE_RELATIVE_U = 0.1;

/**
 * How far the moisture of a dried sub-sample lies from its bin's, relative to it: what is wet drains and is not wet alike, and a scale tells far more
 * digits than one scoop of it stands for. Our choice, no source.
 */
const SUB_SAMPLE_RELATIVE_U = 0.05;

/**
 * Dry mass of what was weighed, in kilograms, with its standard uncertainty.
 *
 * Gross and tare each carry the step they were read to (rectangular, so step / sqrt 12) and the scale's repeatability; a net weight
 * therefore carries both twice. Water comes off as a share of the wet mass, as found on a dried sub-sample, or as a
 * mass allowed for. An error that the scale makes on everything it weighs is not in here; the account draws it.
 *
 * @throws TrayError `mass-impossible` with a sentence: tare above gross, negative or absurd weights, moisture of 1 or
 *   more, a sub-sample that got heavier, more water than was weighed
 * @source JCGM 100:2008 4.3.7 and F.2.2.1 (resolution), 5.1.2 (propagation)
 */
export function dryMassOf(weighing: Weighing): Quantity {
	const net = netMassOf(weighing);
	const { moisture } = weighing;
	if (moisture === undefined) return net;
	if (moisture.kind === 'allowance') return withoutWater(net, moisture, weighing.unit);
	const dryShare = dryShareOf(moisture, weighing.unit);
	return {
		value: net.value * dryShare.value,
		u: Math.hypot(dryShare.value * net.u, net.value * dryShare.u),
	};
}

/**
 * A dry mass with its error in parts: one moisture typed for several bins is one guess, as wrong for the next bin as for this one. Only as much
 * as a dried sub-sample too would leave open (what is wet is not wet alike) is each bin's own.
 *
 * @throws TrayError as `dryMassOf`
 */
export function dryMassInParts(weighing: Weighing): Pick<StreamInput, 'scale' | 'moisture'> & { dryMassKg: Quantity } {
	const { scale, moisture } = weighing;
	const { value, u } = dryMassOf(weighing);
	const told = scale === undefined ? {} : { scale };
	if (moisture?.kind !== 'fraction') return { dryMassKg: { value, u }, ...told };
	const { fraction } = moisture;
	const sharedU = Math.sqrt(Math.max(0, typedU(moisture) ** 2 - (SUB_SAMPLE_RELATIVE_U * fraction) ** 2));
	const relativeU = sharedU / (1 - fraction);
	const ownU = Math.sqrt(Math.max(0, u ** 2 - (value * relativeU) ** 2));
	return { dryMassKg: { value, u: ownU }, ...told, moisture: { name: `${fraction} ${typedU(moisture)}`, relativeU } };
}

function typedU({ fraction, u = MOISTURE_RELATIVE_U * fraction }: Extract<Moisture, { kind: 'fraction' }>): number {
	return u;
}

/** Net mass as weighed, wet or dry, in kilograms; errors as for `dryMassOf`. */
export function netMassOf({
	grossKg,
	tareKg,
	resolutionKg,
	tareResolutionKg = resolutionKg,
	repeatabilityKg,
	unit,
}: Weighing): Quantity {
	for (const [what, massKg] of [
		['The gross weight', grossKg],
		['The tare', tareKg ?? 0],
		["The scale's resolution", resolutionKg],
		['The repeatability', repeatabilityKg],
	] as const) {
		refuseIfImpossible(what, massKg, unit);
	}
	if (tareKg !== undefined && tareKg > grossKg) {
		throw new TrayError(
			'mass-impossible',
			`The empty bin (${inUnit(tareKg, unit)}) is heavier than the full one (${inUnit(grossKg, unit)}).`,
			'Check both weights; they may be swapped.',
		);
	}
	const ofReading = (stepKg: number) => Math.hypot(stepKg / Math.sqrt(12), repeatabilityKg);
	if (tareKg === undefined) return { value: grossKg, u: ofReading(resolutionKg) };
	return { value: grossKg - tareKg, u: Math.hypot(ofReading(resolutionKg), ofReading(tareResolutionKg)) };
}

function withoutWater(
	net: Quantity,
	{ waterKg, uKg }: Extract<Moisture, { kind: 'allowance' }>,
	unit: MassUnit,
): Quantity {
	refuseIfImpossible('The allowance for water', waterKg, unit);
	refuseIfImpossible("The allowance's uncertainty", uKg, unit);
	if (waterKg >= net.value) {
		throw new TrayError(
			'mass-impossible',
			`The allowance for water (${inUnit(waterKg, unit)}) is as much as what was weighed (${inUnit(net.value, unit)}).`,
			'Check the allowance, or dry a sub-sample and weigh it.',
		);
	}
	return { value: net.value - waterKg, u: Math.hypot(net.u, uKg) };
}

function dryShareOf(moisture: Exclude<Moisture, { kind: 'allowance' }>, unit: MassUnit): Quantity {
	if (moisture.kind === 'fraction') {
		const { fraction } = moisture;
		if (!(fraction >= 0 && fraction < 1)) {
			throw new TrayError(
				'mass-impossible',
				`A moisture of ${fraction} of the wet weight leaves nothing dry.`,
				'Moisture is water over wet weight: write 12 per cent as 0.12.',
			);
		}
		return { value: 1 - fraction, u: typedU(moisture) };
	}
	const { wetKg, dryKg, resolutionKg, samples = 1 } = moisture;
	refuseIfImpossible("The sub-sample's wet weight", wetKg, unit);
	refuseIfImpossible("The sub-sample's dry weight", dryKg, unit);
	if (!(wetKg > 0) || dryKg > wetKg || dryKg === 0) {
		throw new TrayError(
			'mass-impossible',
			`The sub-sample weighed ${inUnit(wetKg, unit)} wet and ${inUnit(dryKg, unit)} dry, which cannot be.`,
			'Dry weight lies above nothing and not above the wet weight; check both.',
		);
	}
	const uKg = resolutionKg / Math.sqrt(12);
	const standsForU = (SUB_SAMPLE_RELATIVE_U * (1 - dryKg / wetKg)) / Math.sqrt(samples);
	return { value: dryKg / wetKg, u: Math.hypot(uKg / wetKg, (uKg * dryKg) / wetKg ** 2, standsForU) };
}

function refuseIfImpossible(what: string, massKg: number, unit: MassUnit): void {
	if (massKg >= 0 && massKg <= ABSURD_KG) return;
	const why = Number.isNaN(massKg)
		? `${what} is not a number.`
		: massKg < 0
			? `${what} is below zero (${inUnit(massKg, unit)}).`
			: `${what} is over 100 tonnes (${inUnit(massKg, unit)}).`;
	throw new TrayError('mass-impossible', why, 'Check the number and its unit.');
}

/** As it was given, free of the digits that a change of units makes up. */
function inUnit(massKg: number, unit: MassUnit): string {
	return `${Number(fromKg(massKg, unit).toPrecision(6))} ${unit === 'shortTon' ? 'short ton' : unit}`;
}

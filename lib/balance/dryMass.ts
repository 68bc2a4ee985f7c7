import type { Quantity } from '../quantity/quantity';
import type { StreamInput } from './accountInput';
import type { Moisture, Weighing } from './weighing';
import { netFaultOf, type WeighingFault, weighingFaultOf } from './weighingFault';

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
 * @throws TrayError `mass-impossible` with a sentence, see `weighingFaultOf`
 * @source JCGM 100:2008 4.3.7 and F.2.2.1 (resolution), 5.1.2 (propagation)
 */
export function dryMassOf(weighing: Weighing): Quantity {
	refuse(weighingFaultOf(weighing));
	const net = netMassOf(weighing);
	const { moisture } = weighing;
	if (moisture === undefined) return net;
	if (moisture.kind === 'allowance') {
		return { value: net.value - moisture.waterKg, u: Math.hypot(net.u, moisture.uKg) };
	}
	const dryShare = dryShareOf(moisture);
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
export function netMassOf(weighing: Weighing): Quantity {
	refuse(netFaultOf(weighing));
	const { grossKg, tareKg, resolutionKg, tareResolutionKg = resolutionKg, repeatabilityKg } = weighing;
	const ofReading = (stepKg: number) => Math.hypot(stepKg / Math.sqrt(12), repeatabilityKg);
	if (tareKg === undefined) return { value: grossKg, u: ofReading(resolutionKg) };
	return { value: grossKg - tareKg, u: Math.hypot(ofReading(resolutionKg), ofReading(tareResolutionKg)) };
}

function dryShareOf(moisture: Exclude<Moisture, { kind: 'allowance' }>): Quantity {
	if (moisture.kind === 'fraction') return { value: 1 - moisture.fraction, u: typedU(moisture) };
	const { wetKg, dryKg, resolutionKg, samples = 1 } = moisture;
	const uKg = resolutionKg / Math.sqrt(12);
	const standsForU = (SUB_SAMPLE_RELATIVE_U * (1 - dryKg / wetKg)) / Math.sqrt(samples);
	return { value: dryKg / wetKg, u: Math.hypot(uKg / wetKg, (uKg * dryKg) / wetKg ** 2, standsForU) };
}

function refuse(fault: WeighingFault | undefined): void {
	if (fault !== undefined) throw fault.error;
}

/**
 * What no photo of spread pieces shows: listed on every record as not looked for, never as passed.
 *
 * @source what buyers look at: common practice, no source; lead and cadmium in old PVC: notes of PVC makers and of ECHA
 */
export const NOT_LOOKED_FOR: readonly string[] = [
	'alloys and the purity of the copper itself (chemistry)',
	'how much tin is on tinned wire, and lead in solder',
	'lead, cadmium or plasticisers in the insulation',
	'oil, grease and detergent',
	'moisture, beyond what was entered with the weight',
	'oxide and dirt on the metal',
	'dust and pieces finer than the picture resolves',
	'asbestos, oil with PCB, or anything radioactive',
];

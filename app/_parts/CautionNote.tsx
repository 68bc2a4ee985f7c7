import Link from 'next/link';

/** Cautions of the work at hand: usual ones; local codes and licensed practice come first. */
const CAUTIONS = {
	cable:
		'Look before it is chopped: no oily, tarry or paper-insulated cable, no cloth or felt insulation, no batteries or switches. Old PVC holds lead. Never burn cable to clean it.',
	table:
		'Guards stay on and hands stay off the moving deck and the granulator. Motor, pump and lamp run behind a residual-current switch. Wire and wet plastic make the floor slippery.',
	sorting:
		'Copper hair goes into skin and eyes: gloves that resist cuts, tweezers, closed glasses. Dust can hold lead: sort damp and dry the piles before weighing, or wear a P2 or N95 mask. Strip away from your hand. No acid, lye, heavy liquids or flame: those are for a laboratory.',
} as const;

export function CautionNote({ work }: { readonly work: keyof typeof CAUTIONS }) {
	return (
		<div className="caution">
			<p>
				{CAUTIONS[work]} <Link href="/cautions">All cautions</Link>
			</p>
		</div>
	);
}

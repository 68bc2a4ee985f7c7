import type { Metadata } from 'next';

export const metadata: Metadata = { title: 'Cautions' };

interface Caution {
	readonly title: string;
	readonly points: readonly string[];
}

/** Sources are named where a rule or figure was read; the rest is common practice of the trade. */
const CAUTIONS: readonly Caution[] = [
	{
		title: 'At the table and the granulator',
		points: [
			'Never reach onto a moving deck or into a running granulator for a sample or a photo. Take samples from the bins.',
			'Keep sleeves, hair and rings away from head motion, belts and the gap between the deck and fixed launders; guard them.',
			'Before opening a granulator: lock out, wait until the rotor stands, block it. Never clear a jam by hand.',
			'Wear eye and hearing protection near the granulator.',
			'A 20 L bucket of drained copper can weigh 60 kg or more. Use small buckets.',
		],
	},
	{
		title: 'Water and electricity',
		points: [
			'Motor, pump, lamp and charger near water: behind a residual-current switch (GFCI, RCD), plugs off the floor, drip loops. Press its test button before each session. Wiring is work for a licensed electrician.',
			'Detergent, wet plastic and round wire make floors slippery: mats, drains, boots; sweep before hosing.',
			'Keep the phone on a stand clear of splash; never charge it with wet hands.',
		],
	},
	{
		title: 'Dust, splinters, skin',
		points: [
			'Copper hair goes into skin and eyes: gloves for dry handling, closed glasses, no compressed air. A magnet does not draw copper out of an eye: rinse, see a doctor.',
			'Dry handling makes dust: work wet, or with extraction and a P2 or N95 mask. Plastic and aluminium fines can burn or explode in filters.',
			'Wash before eating; change clothes so that lead dust does not go home.',
		],
	},
	{
		title: 'What may be inside the cable',
		points: [
			'Old PVC holds lead, some of it cadmium: treat its fines as lead-bearing and work wet. Strip lead sheaths and tape by hand before chopping.',
			'Refuse oily, tarry or paper-insulated power cable (PCB oil; regulated at 50 ppm and above in the US, 40 CFR 761) and cloth or felt insulated heat-proof wire (asbestos).',
			'Sort out batteries, mercury switches and capacitors by hand before chopping. Crushed lithium cells burn and light up again (EPA 530-R-21-002).',
		],
	},
	{
		title: 'Never burn insulation, test with no chemicals',
		points: [
			'Burning cable makes dioxins, hydrogen chloride and metal fume; it is unlawful in many places and spoils the copper (Stockholm Convention guidance on smouldering of cables).',
			'No lye, acid or heavy-liquid tests in the yard: hydrogen, toxic fume, blinded eyes. A laboratory does them.',
		],
	},
	{
		title: 'Water that leaves',
		points: [
			'Spent table water holds metals, plastic fines and detergent. Recirculate it: settle, skim, filter. Never into the ground or a storm drain; to the sewer only with leave.',
			'Let the settled solids dry and weigh them: they belong in the balance.',
			'As little detergent as works. Never mix bleach with acid or ammonia cleaners.',
		],
	},
	{
		title: 'What the figures are not',
		points: [
			'A grade from photos is an estimate with a range. It is not an assay and no basis for payment.',
			'A bucket, hanging or kitchen scale is for the balance only. Where weight sets a price, use a scale approved for trade (in the US: NIST Handbook 44 as adopted by the state).',
			'None seen is not zero: 300 clean pieces still allow 1 % by count.',
			'Scrap law may ask for records of its own (seller, payment, days to hold): a run or a record here does not replace them.',
			'Keep people, number plates and papers out of the pictures.',
		],
	},
	{
		title: 'First aid',
		points: [
			'Metal in the eye: do not rub; rinse with clean water and see a doctor at once. Electric shock in the wet: cut the power first. Battery or plastic fire: keep away from the smoke.',
		],
	},
];

/** Cautions for the work, in plain sentences. */
export default function Cautions() {
	return (
		<>
			<h1>Cautions</h1>
			<p className="lead">
				For the work around the table. Not legal advice: rules differ by country and state; look yours up.
			</p>
			{CAUTIONS.map(({ title, points }) => (
				<section key={title} className="narrow">
					<h2>{title}</h2>
					<ul>
						{points.map((point) => (
							<li key={point}>{point}</li>
						))}
					</ul>
				</section>
			))}
		</>
	);
}

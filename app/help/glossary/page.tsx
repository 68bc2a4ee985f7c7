import type { Metadata } from 'next';
import { DeckDrawing } from '../HelpDrawings';
import { HelpPage } from '../HelpPage';

export const metadata: Metadata = { title: 'Words of the trade' };

const WORDS: readonly (readonly [string, string])[] = [
	['Assay', 'what a laboratory finds in a sample'],
	['Band', 'a stripe of one kind of grain along the edge of the deck'],
	['Below detection', 'too little to be told from nothing; the limit says how much it can be at most'],
	['Can’t be told', 'nearly any share would fit what the photos show: spread more, or check by hand'],
	['Bin', 'the container that catches one product of one run'],
	['Blank', 'a sample that is known to hold no metal'],
	['Carry-over', 'what was left of the run before and lands in this one’s bins'],
	['Chops, granules', 'pieces of chopped cable'],
	['Circulating load', 'what is fed again and again, middlings mostly'],
	['Closure', 'the weight of all products over the weight of the feed'],
	['Concentrate', 'the rich product, from the metal end of the deck'],
	['Cut', 'where one product ends and the next begins'],
	['Deck', 'the shaking surface of the table'],
	['Entrained water', 'water that clings between drained grains'],
	['Feed', 'what is put on the table'],
	['Floats', 'wire and plastic that ride on the skin of the water'],
	['Free copper', 'copper without the part locked in insulation: what a photo can see'],
	['Grade', 'the share of a metal in the dry mass of a product'],
	['Gross, tare, net', 'bin with content, the empty bin, the difference'],
	['Hair wire', 'strands thinner than about a quarter of a millimetre'],
	['Head grade', 'the grade of the feed'],
	['Increment', 'one scoop of the several that make a sample'],
	['Launder', 'the gutter under the edge of the deck'],
	['Liberated', 'metal that is free of its insulation'],
	['Locked copper', 'copper inside its insulation: a photo hardly sees it'],
	['Lot', 'the material received in one go'],
	['Middlings', 'the mixed band between concentrate and tailings, usually run again'],
	['Moisture', 'water as a share of the wet mass'],
	['Not decided', 'area or pieces that the program will not name: it widens the range'],
	['Payable', 'the part of the exchange price that a buyer pays'],
	['Range', 'where the true value lies 95 times in 100'],
	['Reconciled', 'changed as little as it takes for weights and metals to agree'],
	['Recovery', 'the share of all the copper fed that reached a product'],
	['Riffle', 'a low rib along the deck; also a box that halves a sample'],
	['Separation efficiency', 'recovery of copper less recovery of all the rest, in the concentrates'],
	['Slime', 'grains too fine to settle'],
	['Spread', 'a part of a sample laid out one layer thick and photographed'],
	['Standard deviation', 'how far values lie from their middle; a range reaches about two of them either side'],
	['Standard uncertainty', 'how far off a figure usually is; hardly ever is it off by more than two of them'],
	['Stroke', 'how far the deck moves in one shake'],
	['Sub-sample', 'a smaller part taken from a sample'],
	['Tailings', 'the lean product that leaves with the water'],
	['Tinned', 'copper with a thin coat of tin: white, but heavy as copper'],
	['Unliberated', 'metal still in its jacket'],
	['Upgrade ratio', 'grade of the product over grade of the feed'],
	['Wash water', 'clean water along the upper edge of the deck'],
	['Wetting agent', 'a little detergent, so that fine wire sinks'],
	['Yield', 'the mass of a product over the mass of the feed'],
];

/** The words used on these pages, one line each. */
export default function Glossary() {
	return (
		<HelpPage href="/help/glossary">
			<DeckDrawing />
			<dl className="figures">
				{WORDS.map(([word, meaning]) => (
					<div key={word}>
						<dt>
							<strong>{word}</strong>
						</dt>
						<dd>{meaning}</dd>
					</div>
				))}
			</dl>
		</HelpPage>
	);
}

import Link from 'next/link';
import type { Meaning } from '@/lib/report/meanings';

/** A mark behind a figure: resting on it or tapping it says what the figure means and where it comes from. */
export function MeaningOf({
	name,
	meaning: { says, from, more },
}: {
	readonly name: string;
	readonly meaning: Meaning;
}) {
	return (
		<details className="meaning">
			<summary title={`${says} ${from}`}>
				<span className="visually-hidden">What {name} means</span>
			</summary>
			<p>
				{says} {from}{' '}
				<Link href={more} aria-label={`More about ${name}`}>
					More
				</Link>
			</p>
		</details>
	);
}

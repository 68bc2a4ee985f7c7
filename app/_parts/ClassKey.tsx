import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { CLASS_STYLES, UNJUDGED_STYLE } from '@/lib/report/classPalette';
import { CLASS_NAMES } from '@/lib/report/sentences';
import { Swatch } from './Swatch';

/** What lines and letters on a picture mean. */
export function ClassKey() {
	return (
		<ul className="legend">
			{MATERIAL_CLASSES.map((name) => (
				<li key={name} className="swatch">
					<Swatch style={CLASS_STYLES[name]} />
					{CLASS_NAMES[name]}
				</li>
			))}
			<li className="swatch">
				<Swatch style={UNJUDGED_STYLE} />
				Not decided
			</li>
		</ul>
	);
}

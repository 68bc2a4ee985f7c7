import type { MaterialClass } from '../material/classes';

/** How a class is drawn: never by colour alone. */
export interface ClassStyle {
	readonly letter: string;
	readonly colour: string;
	/** Text on the colour that keeps 4.5 : 1. */
	readonly textColour: string;
	/** SVG dash pattern of its lines, in line widths; empty for solid. */
	readonly dash: string;
}

/**
 * Four colours of the Okabe-Ito set with the largest worst-case difference for colour-blind eyes; other pieces are grey with
 * a letter of their own.
 *
 * @source Okabe and Ito, Color Universal Design (2008), colours; the choice of four was measured by CIEDE2000 under
 *   simulated protan, deutan and tritan sight
 */
export const CLASS_STYLES: Readonly<Record<MaterialClass, ClassStyle>> = {
	brightCopper: { letter: 'Cu', colour: '#0072B2', textColour: '#FFFFFF', dash: '' },
	tinnedCopper: { letter: 'Sn', colour: '#56B4E9', textColour: '#000000', dash: '6 2 1 2' },
	aluminium: { letter: 'Al', colour: '#F0E442', textColour: '#000000', dash: '6 3' },
	insulation: { letter: 'In', colour: '#D55E00', textColour: '#000000', dash: '1 2' },
	other: { letter: 'Ot', colour: '#8C8C8C', textColour: '#000000', dash: '3 3' },
};

/** How pixels that were not judged are drawn. */
export const UNJUDGED_STYLE: ClassStyle = { letter: '?', colour: '#FFFFFF', textColour: '#000000', dash: '1 4' };

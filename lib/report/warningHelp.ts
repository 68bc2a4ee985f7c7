/** What stands behind one warning about a photo. */
export interface WarningHelp {
	readonly code: string;
	readonly title: string;
	/** What was seen. */
	readonly means: string;
	/** What it does to the figures. */
	readonly does: string;
	/** What to do. */
	readonly remedy: string;
}

/** Every warning that a photo can carry, the picture's first, then the sample's. Limits stand with the code that measures. */
export const WARNING_HELP: readonly WarningHelp[] = [
	{
		code: 'blurred',
		title: 'Blurred',
		means: 'Sharp edges run over several pixels: the phone moved, focused elsewhere, or its lens is dirty.',
		does: 'Thin strands mix with the surface and lose their colour. They are missed or taken for something else, mostly to the copper’s loss.',
		remedy: 'Wipe the lens, rest the phone, tap the pieces to focus, wait, shoot.',
	},
	{
		code: 'glare',
		title: 'A lamp mirrors',
		means: 'Patches of the field are burnt out to white because a lamp is reflected by wet pieces or film.',
		does: 'Those places are not decided, which widens the range. At their rims they can pass for bright metal.',
		remedy: 'Move the lamp to the side, drain or dry the sample, shade the sky with a board.',
	},
	{
		code: 'too-bright',
		title: 'Too bright',
		means: 'Much of the field is pure white.',
		does: 'Nothing can be told of those places, and the fall-off of the light cannot be followed.',
		remedy: 'Lower the exposure on the phone until the paper is light grey, not white.',
	},
	{
		code: 'too-dark',
		title: 'Too dark',
		means: 'Even the brightest parts of the field are dark.',
		does: 'Noise rules: black insulation and tarnished copper can be confused.',
		remedy: 'Add light or raise the exposure. Daylight in the shade is best.',
	},
	{
		code: 'side-light',
		title: 'Hard light from one side',
		means: 'A low sun, or one bare lamp at the side: much of the surface lies in the pieces’ deep shade.',
		does: 'Copper in the shade is missed, sunlit insulation or aluminium passes for copper. On middlings four tenths of the copper go astray. On a printed mat read by the pixel model the grade is raised for it and the range is wider, elsewhere not.',
		remedy: 'Shade the whole tray with a board, wait for a cloud, or hang the lamp higher.',
	},
	{
		code: 'grainy',
		title: 'Grainy',
		means: 'The phone amplified too little light: even bare paper is speckled with colours.',
		does: 'Fine strands are not told from their surroundings: metal is missed, or taken for insulation or another metal.',
		remedy: 'Bring the sample to the light or a second lamp to the sample, and rest the phone.',
	},
	{
		code: 'too-few-pixels',
		title: 'Too far away',
		means: 'A fine strand covers less than half a pixel.',
		does: 'Strands that fine are missed, so copper is read too low.',
		remedy: 'Go closer, use the camera’s full size, or spread on a smaller sheet.',
	},
	{
		code: 'tilted',
		title: 'Tilted',
		means: 'The camera looked from the side.',
		does: 'Thick pieces hide what lies behind them and look larger than they are.',
		remedy: 'Hold the phone level above the middle of the mat.',
	},
	{
		code: 'field-cut',
		title: 'Part of the field is missing',
		means: 'The field reaches out of the picture.',
		does: 'What is cut off is not counted. The photo stands for the rest only.',
		remedy: 'Step back until all four corners are in view.',
	},
	{
		code: 'mat-not-flat',
		title: 'The mat is not flat',
		means: 'The corner marks do not lie in one plane.',
		does: 'Widths and areas are a little wrong where it bulges. Shares hardly change.',
		remedy: 'Tape the mat to a board.',
	},
	{
		code: 'size-unlike',
		title: 'Size and corners do not fit',
		means: 'The four corners on the photo enclose another shape than the width and height given.',
		does: 'Pieces are measured too long one way and too short the other. Shares hardly change.',
		remedy: 'See whether width and height are swapped, and where the corners lie. Width is along the picture’s top.',
	},
	{
		code: 'colour-residual',
		title: 'Colours stay off',
		means: 'The grey patches are not grey after the light was corrected: two kinds of light, a shadow, or a filter.',
		does: 'Metals and insulation may be confused. The range cannot know by how much.',
		remedy: 'Use one kind of light, keep your shadow off the patches, switch filters and beauty modes off.',
	},
	{
		code: 'colour-unreferenced',
		title: 'No neutral to go by',
		means: 'There is no readable grey patch, and the surface is not a plain white or grey.',
		does: 'Colours are taken as the camera gave them. Under warm lamps insulation can look like copper.',
		remedy: 'Use the printed mat, or a white or grey tray.',
	},
	{
		code: 'colour-from-surface',
		title: 'Light taken from the tray',
		means: 'There are no grey patches, so the tray itself was taken as neutral grey.',
		does: 'Colours are less sure than on a mat.',
		remedy: 'Use the printed mat where you can.',
	},
	{
		code: 'light-not-followed',
		title: 'Light not followed',
		means: 'Too little bare paper is in sight to see how the light falls off.',
		does: 'Pieces far from the grey patches may look too light or too dark.',
		remedy: 'Leave the margins of the mat free and keep glare off the paper.',
	},
	{
		code: 'mat-missing',
		title: 'No mat found',
		means: 'Right after the shot: the corner marks of the mat are not all to be seen, and no tray either.',
		does: 'Without them there is no scale, so there is no grade until the corners are set by hand.',
		remedy:
			'Step back until all four marks show, clear them of pieces and shine. On a plain tray set its corners on the photo.',
	},
	{
		code: 'nothing-spread',
		title: 'Nothing spread',
		means: 'Next to nothing lies in the field.',
		does: 'There is no grade from this photo.',
		remedy: 'Spread a scoop. If something does lie there, check that the corners are on the tray.',
	},
	{
		code: 'crowded',
		title: 'Crowded',
		means: 'Pieces cover so much of the field that some must lie on others.',
		does: 'What lies below is not seen. Fine heavy pieces hide first, so metal may be read low.',
		remedy: 'Spread less, in one layer: up to a third of the field.',
	},
	{
		code: 'dense',
		title: 'Pieces on each other',
		means: 'Right after the shot: pieces fill the field so closely that they cannot lie in one layer.',
		does: 'What lies below is not seen. The reading itself says by how much.',
		remedy: 'Spread a smaller scoop and take the picture again.',
	},
	{
		code: 'too-few-pieces',
		title: 'Too few pieces',
		means: 'So few pieces lie there that chance rules.',
		does: 'The range is wide, and another scoop could read quite differently.',
		remedy: 'Spread more, or photograph more spreads from other scoops.',
	},
	{
		code: 'unjudged-share',
		title: 'Much not decided',
		means: 'Glare, deep shadow, or colours that fit nothing known.',
		does: 'What is not decided could be anything, so the range is wider.',
		remedy: 'Change the light, or teach the colours on this photo.',
	},
	{
		code: 'model-missing',
		title: 'Read by colours alone',
		means: 'The trained model is not installed, or its files are damaged.',
		does: 'Brown insulation, tinned wire and aluminium are told apart far worse, so the range is wider.',
		remedy: 'Put the model files back and read the photo again, or teach the colours.',
	},
	{
		code: 'pieces-over-edge',
		title: 'Pieces over the edge',
		means: 'Many pieces cross the frame of the field.',
		does: 'The part outside is not counted.',
		remedy: 'Push them in before you shoot.',
	},
	{
		code: 'read-earlier',
		title: 'Read by an earlier version',
		means: 'Deckside was brought up to date since this photo was read.',
		does: 'Its figures stand as they were. Beside photos read now they may differ by what changed in the program, and a difference between runs by that too.',
		remedy: 'Read it again, or all photos of its run from the run’s page.',
	},
	{
		code: 'same-picture',
		title: 'Same picture twice',
		means: 'The very same photo, or another of the same spread, stands in two places of the run.',
		does: 'In two bins, one is graded by the pieces of the other. In one bin they count twice, and the range is too narrow. A record claims no limit.',
		remedy: 'Remove it where it does not belong. Photograph another scoop for each spread.',
	},
];

import type { MaterialClass } from './classes';
import type { ColourPatch } from './material';

/**
 * Colours of the default material: light-corrected CIELAB (D65), as mixtures of normal distributions.
 *
 * @source fitted to 110 rendered close-ups with known classes, each with its own lamps, surface, insulation colours,
 *   tarnish and wetness, by models/colours/fitColours.ts; no tray that Deckside is judged on was used. Made by that
 *   script: change it there.
 */
export const DEFAULT_COLOURS: Readonly<Record<MaterialClass, readonly ColourPatch[]>> = {
	brightCopper: [
		{
			name: 'brightCopper 1',
			share: 0.5329,
			centre: { L: 64.0, a: 7.3, b: 10.2 },
			covariance: [320.3, -30.1, -14.9, 35.1, 23.2, 53.8],
		},
		{
			name: 'brightCopper 2',
			share: 0.349,
			centre: { L: 41.2, a: 5.8, b: 6.9 },
			covariance: [188.7, 0.8, 13.6, 24.9, 9.1, 47.4],
		},
		{
			name: 'brightCopper 3',
			share: 0.0855,
			centre: { L: 61.3, a: 3.8, b: 0.8 },
			covariance: [574.9, -62, 225.7, 27.6, -28, 178.1],
		},
		{
			name: 'brightCopper 4',
			share: 0.0326,
			centre: { L: 52.1, a: 9.1, b: 23.2 },
			covariance: [322.9, 3.7, 88.1, 149.8, -2.6, 137.7],
		},
	],
	tinnedCopper: [
		{
			name: 'tinnedCopper 1',
			share: 0.7918,
			centre: { L: 65.0, a: 0.8, b: 2.6 },
			covariance: [337.6, -10.8, -3.7, 11, 1.8, 19.7],
		},
		{
			name: 'tinnedCopper 2',
			share: 0.1511,
			centre: { L: 45.2, a: 2.3, b: -11.1 },
			covariance: [191.9, -7, 15.1, 14.1, -11.1, 64.9],
		},
		{
			name: 'tinnedCopper 3',
			share: 0.057,
			centre: { L: 60.0, a: 3.8, b: 14.1 },
			covariance: [336.4, -24.6, 61.1, 77.4, -7.6, 87.2],
		},
	],
	aluminium: [
		{
			name: 'aluminium 1',
			share: 0.8119,
			centre: { L: 71.6, a: 0.0, b: 0.8 },
			covariance: [449.2, -11.3, -5.1, 9.4, -0.3, 17.8],
		},
		{
			name: 'aluminium 2',
			share: 0.1468,
			centre: { L: 52.7, a: 0.8, b: -10.3 },
			covariance: [332.1, -9.8, -47.6, 13.8, -5.9, 57.9],
		},
		{
			name: 'aluminium 3',
			share: 0.0413,
			centre: { L: 59.7, a: 2.8, b: 12.3 },
			covariance: [525.8, -65, 74.7, 68, -19.1, 84.7],
		},
	],
	insulation: [
		{
			name: 'insulation 1',
			share: 0.2383,
			centre: { L: 28.8, a: 1.6, b: 2.4 },
			covariance: [111.2, 2.2, 7.5, 17.3, 4.3, 25.3],
		},
		{
			name: 'insulation 2',
			share: 0.1422,
			centre: { L: 39.3, a: 13.9, b: 14.2 },
			covariance: [119.5, 15.5, 38.9, 51.7, 16.9, 81.8],
		},
		{
			name: 'insulation 3',
			share: 0.1094,
			centre: { L: 78.0, a: -1.1, b: 5.2 },
			covariance: [146.6, -4.1, 3, 33.3, -12.9, 39.2],
		},
		{
			name: 'insulation 4',
			share: 0.1007,
			centre: { L: 36.4, a: 32.5, b: 16.7 },
			covariance: [95, 79.2, 50.4, 137.1, 84.8, 82.5],
		},
		{
			name: 'insulation 5',
			share: 0.0923,
			centre: { L: 56.7, a: 0.9, b: 2.8 },
			covariance: [132.4, -3.7, 14.7, 25.1, -0.2, 37.4],
		},
		{
			name: 'insulation 6',
			share: 0.0757,
			centre: { L: 68.5, a: -4.6, b: 50.7 },
			covariance: [112.5, -16.3, 85, 45.1, -13, 148.9],
		},
		{
			name: 'insulation 7',
			share: 0.0578,
			centre: { L: 42.0, a: -24.1, b: 16.8 },
			covariance: [95.6, -46.1, 34.1, 63.4, -43, 47.5],
		},
		{
			name: 'insulation 8',
			share: 0.0572,
			centre: { L: 48.3, a: 11.2, b: 26.9 },
			covariance: [136.2, 62.2, 62.2, 272.5, -14.3, 137.9],
		},
		{
			name: 'insulation 9',
			share: 0.0478,
			centre: { L: 34.2, a: 10.5, b: -32.0 },
			covariance: [84.7, 11.7, -49, 36.7, -55.1, 135.2],
		},
		{
			name: 'insulation 10',
			share: 0.0362,
			centre: { L: 66.0, a: 3.0, b: 21.1 },
			covariance: [282.5, -67.3, 98.9, 196.7, -94.4, 196.7],
		},
		{
			name: 'insulation 11',
			share: 0.0247,
			centre: { L: 42.3, a: -13.5, b: 9.7 },
			covariance: [203.8, -6.2, 12.2, 33.5, -11.2, 26],
		},
		{
			name: 'insulation 12',
			share: 0.0177,
			centre: { L: 45.1, a: 4.6, b: -13.7 },
			covariance: [293.7, -11.5, -6.2, 30.5, -13.8, 61.6],
		},
	],
	other: [
		{
			name: 'other 1',
			share: 0.9001,
			centre: { L: 47.4, a: 0.9, b: 5.0 },
			covariance: [234, -6.8, 33.4, 9.9, -2.4, 36],
		},
		{
			name: 'other 2',
			share: 0.0999,
			centre: { L: 66.7, a: 3.6, b: 10.2 },
			covariance: [664.5, -83.5, 47.5, 42.7, 11.2, 178.9],
		},
	],
};

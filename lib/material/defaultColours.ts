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
    { name: 'brightCopper 1', share: 0.5445, centre: { L: 64.0, a: 7.2, b: 10.1 }, covariance: [309.1, -28.7, -13.7, 34.9, 23, 53.4] },
    { name: 'brightCopper 2', share: 0.3381, centre: { L: 40.5, a: 5.8, b: 6.9 }, covariance: [179.3, 0.9, 13.7, 25.2, 9.3, 48.4] },
    { name: 'brightCopper 3', share: 0.0850, centre: { L: 60.9, a: 3.9, b: 0.8 }, covariance: [545.4, -59.3, 222.2, 27.7, -27.8, 180.2] },
    { name: 'brightCopper 4', share: 0.0324, centre: { L: 52.1, a: 9.2, b: 23.3 }, covariance: [323.1, 3.2, 87.9, 150.5, -2.6, 137.3] },
  ],
  tinnedCopper: [
    { name: 'tinnedCopper 1', share: 0.7919, centre: { L: 65.0, a: 0.8, b: 2.6 }, covariance: [325.5, -10.5, -3.8, 11.1, 1.8, 19.7] },
    { name: 'tinnedCopper 2', share: 0.1512, centre: { L: 45.0, a: 2.3, b: -11.1 }, covariance: [191.2, -6.7, 13.5, 14.1, -11.1, 65] },
    { name: 'tinnedCopper 3', share: 0.0569, centre: { L: 60.0, a: 3.8, b: 14.2 }, covariance: [335.1, -24.8, 61.2, 77.6, -7.7, 87.2] },
  ],
  aluminium: [
    { name: 'aluminium 1', share: 0.8077, centre: { L: 71.4, a: 0.0, b: 0.8 }, covariance: [421.6, -11, -5.1, 9.4, -0.3, 17.7] },
    { name: 'aluminium 2', share: 0.1509, centre: { L: 52.3, a: 0.7, b: -10.1 }, covariance: [333.4, -9.3, -50.7, 13.9, -6, 59.7] },
    { name: 'aluminium 3', share: 0.0413, centre: { L: 59.5, a: 2.9, b: 12.3 }, covariance: [506.1, -63.7, 73.6, 67.8, -19.2, 84.8] },
  ],
  insulation: [
    { name: 'insulation 1', share: 0.2383, centre: { L: 28.8, a: 1.6, b: 2.4 }, covariance: [110.6, 2.2, 7.5, 17.3, 4.3, 25.4] },
    { name: 'insulation 2', share: 0.1417, centre: { L: 39.3, a: 13.9, b: 14.2 }, covariance: [119.3, 15.4, 38.8, 51.5, 16.8, 81.6] },
    { name: 'insulation 3', share: 0.1079, centre: { L: 78.4, a: -1.1, b: 5.2 }, covariance: [132.4, -3.6, 3.1, 33, -12.8, 39] },
    { name: 'insulation 4', share: 0.1007, centre: { L: 36.4, a: 32.5, b: 16.7 }, covariance: [95, 79.3, 50.4, 137.1, 84.9, 82.5] },
    { name: 'insulation 5', share: 0.0936, centre: { L: 56.5, a: 0.9, b: 2.9 }, covariance: [123.5, -3.1, 13.9, 25.3, -0.2, 37.5] },
    { name: 'insulation 6', share: 0.0757, centre: { L: 68.5, a: -4.6, b: 50.7 }, covariance: [112.5, -16.3, 84.9, 45.1, -13, 148.7] },
    { name: 'insulation 7', share: 0.0579, centre: { L: 42.0, a: -24.1, b: 16.8 }, covariance: [96, -46.3, 34.3, 63.5, -43.2, 47.7] },
    { name: 'insulation 8', share: 0.0575, centre: { L: 48.3, a: 11.3, b: 26.8 }, covariance: [136.4, 62, 62.7, 271, -14.4, 138.4] },
    { name: 'insulation 9', share: 0.0479, centre: { L: 34.2, a: 10.4, b: -32.0 }, covariance: [84.9, 11.7, -49, 36.7, -55.2, 135.6] },
    { name: 'insulation 10', share: 0.0365, centre: { L: 65.9, a: 2.9, b: 21.1 }, covariance: [281.3, -65.5, 96.2, 196.3, -93.7, 193.3] },
    { name: 'insulation 11', share: 0.0248, centre: { L: 42.5, a: -13.4, b: 9.7 }, covariance: [204.9, -5.7, 12.1, 34, -11.3, 26] },
    { name: 'insulation 12', share: 0.0175, centre: { L: 45.3, a: 4.6, b: -13.7 }, covariance: [295.1, -11.7, -6.4, 30.9, -13.4, 60.4] },
  ],
  other: [
    { name: 'other 1', share: 0.8995, centre: { L: 47.4, a: 0.8, b: 5.0 }, covariance: [235.4, -6.9, 33.4, 9.9, -2.4, 35.9] },
    { name: 'other 2', share: 0.1005, centre: { L: 66.1, a: 3.6, b: 10.2 }, covariance: [632, -80.9, 50, 42.5, 11.2, 179.4] },
  ],
};

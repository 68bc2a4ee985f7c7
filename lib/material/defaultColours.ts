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
    { name: 'brightCopper 1', share: 0.6480, centre: { L: 51.9, a: 7.7, b: 10.4 }, covariance: [315.4, 6.1, 26.9, 30.8, 18.4, 54.6] },
    { name: 'brightCopper 2', share: 0.2518, centre: { L: 67.1, a: 3.3, b: 5.1 }, covariance: [414.9, -29.5, 22.9, 18.1, -0.7, 29.5] },
    { name: 'brightCopper 3', share: 0.0684, centre: { L: 37.1, a: 3.9, b: -1.0 }, covariance: [141.1, -6.7, 14.4, 40.6, -37.6, 202.6] },
    { name: 'brightCopper 4', share: 0.0317, centre: { L: 70.2, a: 10.4, b: 25.8 }, covariance: [468.3, -136.7, -18.4, 127.9, -16.8, 114.3] },
  ],
  tinnedCopper: [
    { name: 'tinnedCopper 1', share: 0.7921, centre: { L: 65.6, a: 0.8, b: 2.6 }, covariance: [333.4, -12.1, -4.6, 11.1, 1.7, 20.1] },
    { name: 'tinnedCopper 2', share: 0.1537, centre: { L: 45.2, a: 2.2, b: -10.7 }, covariance: [191.5, -6.9, 14.6, 14.5, -12.5, 70.9] },
    { name: 'tinnedCopper 3', share: 0.0542, centre: { L: 61.3, a: 4.7, b: 14.4 }, covariance: [371.7, -25.6, 52.3, 73.7, -4.6, 80.7] },
  ],
  aluminium: [
    { name: 'aluminium 1', share: 0.7876, centre: { L: 72.5, a: 0.0, b: 0.8 }, covariance: [442.4, -11.3, -5, 9.3, -0.3, 17.6] },
    { name: 'aluminium 2', share: 0.1674, centre: { L: 50.2, a: 0.8, b: -9.1 }, covariance: [284.6, -6.5, -50.3, 13.7, -7.2, 65.7] },
    { name: 'aluminium 3', share: 0.0450, centre: { L: 62.7, a: 2.9, b: 11.2 }, covariance: [503.5, -77.3, 42.9, 65.9, -12.1, 92.8] },
  ],
  insulation: [
    { name: 'insulation 1', share: 0.2728, centre: { L: 31.4, a: 1.6, b: 2.2 }, covariance: [147.9, 1.4, 4.9, 17.2, 3.8, 26.6] },
    { name: 'insulation 2', share: 0.1481, centre: { L: 72.8, a: -0.7, b: 4.6 }, covariance: [191.1, -5.4, 7.9, 32.9, -10.8, 33.3] },
    { name: 'insulation 3', share: 0.0977, centre: { L: 43.1, a: 15.3, b: 20.1 }, covariance: [125.3, 22, 79, 53.1, 34.8, 119.3] },
    { name: 'insulation 4', share: 0.0951, centre: { L: 37.7, a: 34.3, b: 18.0 }, covariance: [85.4, 68.4, 44.5, 125.5, 80.4, 82.7] },
    { name: 'insulation 5', share: 0.0865, centre: { L: 37.3, a: 13.4, b: 11.4 }, covariance: [142.4, 3.9, 8.8, 67.8, -1.2, 41.5] },
    { name: 'insulation 6', share: 0.0786, centre: { L: 67.8, a: -3.8, b: 50.2 }, covariance: [106.4, -17.7, 90.4, 49.3, -15.6, 157] },
    { name: 'insulation 7', share: 0.0755, centre: { L: 40.5, a: -21.4, b: 14.9 }, covariance: [109.3, -47.1, 36.5, 75.9, -51.8, 56.5] },
    { name: 'insulation 8', share: 0.0565, centre: { L: 66.5, a: -0.7, b: 12.3 }, covariance: [235.2, -40.4, 137.6, 57.7, -77.4, 421.8] },
    { name: 'insulation 9', share: 0.0534, centre: { L: 33.3, a: 9.4, b: -29.3 }, covariance: [87, 14.8, -56.3, 40.8, -67.2, 169.2] },
    { name: 'insulation 10', share: 0.0159, centre: { L: 63.5, a: 20.0, b: 14.2 }, covariance: [134.1, -4.3, 52.9, 191.1, 85.6, 133.1] },
    { name: 'insulation 11', share: 0.0142, centre: { L: 42.0, a: -8.0, b: 31.2 }, covariance: [91.5, -19.3, 49.9, 102.5, 0.1, 84.1] },
    { name: 'insulation 12', share: 0.0057, centre: { L: 53.5, a: -13.2, b: 12.5 }, covariance: [317.6, -198.1, 155.7, 259.7, -196.9, 197] },
  ],
  other: [
    { name: 'other 1', share: 0.8982, centre: { L: 47.3, a: 0.9, b: 4.9 }, covariance: [235.6, -7.4, 32.6, 9.9, -2.5, 35.2] },
    { name: 'other 2', share: 0.1018, centre: { L: 65.6, a: 4.0, b: 10.1 }, covariance: [668.3, -85.7, 40.5, 43.2, 11.9, 182.6] },
  ],
};

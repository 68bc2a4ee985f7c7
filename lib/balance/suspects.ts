import { COMPONENTS } from '../material/classes';
import { suspicionOf } from './adjuster';
import type { Conserved } from './conserve';
import type { Adjustment, RunAccount } from './runAccount';

/** Suspicions closer than this many standard deviations cannot be told apart (our choice: a tenth shows in no print). */
const TIE = 0.1;

/** What reconciling did to every weight and grade, and how suspicious each is of a gross error. */
export function adjustmentsOf(conserved: Conserved): readonly Adjustment[] {
  const { layout, massKg, componentKg } = conserved;
  return layout.streams.flatMap((stream, s): Adjustment[] => {
    const reconciledKg = massKg[s]?.value;
    const weight: Adjustment[] =
      stream.mass === undefined
        ? []
        : [
            {
              measurement: `the weight of ${stream.label}`,
              unit: 'kg',
              measured: stream.mass.value,
              ...(reconciledKg === undefined ? {} : { reconciled: reconciledKg }),
              suspicion:
                stream.mass.u > 0 ? suspicionOf(conserved.adjuster, conserved.gap, massDirection(conserved, s)) : 0,
            },
          ];
    const grades = COMPONENTS.flatMap((component, k): Adjustment[] => {
      const share = stream.shares[component];
      if (share === undefined) return [];
      const contentKg = componentKg[s]?.[k]?.value;
      const isKnown = contentKg !== undefined && reconciledKg !== undefined && reconciledKg > 0;
      return [
        {
          measurement: `the ${component} grade of ${stream.label}`,
          unit: 'fraction',
          measured: share.value,
          ...(isKnown ? { reconciled: contentKg / reconciledKg } : {}),
          suspicion: gradeIsUncertain(conserved, s, k)
            ? suspicionOf(conserved.adjuster, conserved.gap, gradeDirection(conserved, s, k))
            : 0,
        },
      ];
    });
    return [...weight, ...grades];
  });
}

/**
 * The measurements that best explain a failed test.
 *
 * With a single balance every weight explains a misfit equally well; all of them are then named.
 *
 * @returns undefined where no measurement explains anything
 * @source Narasimhan and Mah, AIChE J. 33 (1987) 1514 (the largest statistic points at the error)
 */
export function mostSuspiciousOf(adjustments: readonly Adjustment[]): RunAccount['mostSuspicious'] {
  const largest = Math.max(0, ...adjustments.map(({ suspicion }) => suspicion));
  if (largest === 0) return undefined;
  const measurements = adjustments
    .filter(({ suspicion }) => suspicion >= largest - TIE)
    .map(({ measurement }) => measurement);
  const size = `${largest.toFixed(1)} standard deviations`;
  const [first] = measurements;
  const sentence =
    measurements.length === 1
      ? `Look at ${first} first: an error there explains the misfit best (${size}).`
      : `The balance cannot tell which of these is wrong (${size} each): ${measurements.join(', ')}.`;
  return { measurements, standardDeviations: largest, sentence };
}

/** What one kilogram more on the scale would do to the entries. */
function massDirection({ layout }: Conserved, stream: number): number[] {
  return layout.entries.map((entry) => {
    if (entry.stream !== stream || entry.kind === 'anchor') return 0;
    return entry.kind === 'mass' ? 1 : layout.streams[stream]!.shares[COMPONENTS[entry.component]!]!.value;
  });
}

/** What a higher share of one component would do; in photos the others give way in proportion. */
function gradeDirection({ layout, assumedKg }: Conserved, stream: number, component: number): number[] {
  const { shares, isFromPhotos } = layout.streams[stream]!;
  const own = shares[COMPONENTS[component]!]!.value;
  return layout.entries.map((entry) => {
    if (entry.stream !== stream || entry.kind !== 'component') return 0;
    if (entry.component === component) return assumedKg[stream]!;
    if (!isFromPhotos || own >= 1) return 0;
    return (-assumedKg[stream]! * shares[COMPONENTS[entry.component]!]!.value) / (1 - own);
  });
}

function gradeIsUncertain({ layout, covariance }: Conserved, stream: number, component: number): boolean {
  const index = layout.entries.findIndex((entry) => entry.stream === stream && entry.component === component);
  const { shares, isFromPhotos } = layout.streams[stream]!;
  const share = shares[COMPONENTS[component]!]!;
  if (!isFromPhotos) return share.u > 0;
  return (covariance[index]?.[index] ?? 0) > 0 && share.draws.some((draw) => draw !== share.draws[0]);
}

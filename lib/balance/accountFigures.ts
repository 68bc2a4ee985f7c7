import { type Component, type Graded, PRODUCT_ROLES, type ProductRole } from '../material/classes';
import type { ProductInput, StreamInput } from './accountInput';
import { estimateOfDrawn } from './drawn';
import {
  type PerformanceDraws,
  perComponent,
  performanceOf,
  perGraded,
  recoveryLimitsOf,
  type StreamDraws,
  togetherOf,
} from './performance';
import type { GroupAccount, Performance, PerGraded, ProductAccount, StreamAccount } from './runAccount';
import type { Stream } from './stream';

/** A stream as measured and as reconciled. */
export function streamAccountOf(input: StreamInput, stream: Stream, drawn: StreamDraws): StreamAccount {
  const measuredMass = estimateOfDrawn(stream.mass);
  const reconciledMass = estimateOfDrawn(drawn.massKg);
  const ownFree = input.freeCopperDraws && { value: meanFree(stream), draws: input.freeCopperDraws };
  return {
    dryMassKg: {
      ...(measuredMass === undefined ? {} : { measured: measuredMass }),
      ...(reconciledMass === undefined ? {} : { reconciled: reconciledMass }),
    },
    massFraction: {
      measured: perGraded((component) => {
        const share = component === 'freeCopper' ? ownFree : stream.shares[component];
        return input.massFraction?.[component] ?? estimateOfDrawn(share);
      }),
      reconciled: perGraded((component) => estimateOfDrawn(drawn.massFraction[component], isMissing(input, component))),
    },
  };
}

function meanFree({ freePart, shares }: Stream): number {
  return (freePart?.value ?? Number.NaN) * (shares.copper?.value ?? Number.NaN);
}

function isMissing(input: StreamInput, component: Graded): boolean {
  return input.massFraction?.[component]?.belowDetectionLimit === true;
}

function performanceAccountOf(drawn: PerformanceDraws, missing: (component: Graded) => boolean): Performance {
  const yieldFraction = estimateOfDrawn(drawn.yieldFraction);
  const separationEfficiency = estimateOfDrawn(drawn.separationEfficiency);
  return {
    ...(yieldFraction === undefined ? {} : { yieldFraction }),
    recovery: perGraded((component) => estimateOfDrawn(drawn.recovery[component], missing(component))),
    upgradeRatio: perGraded((component) => estimateOfDrawn(drawn.upgradeRatio[component], missing(component))),
    ...(separationEfficiency === undefined ? {} : { separationEfficiency }),
  };
}

/** One product's line; limits of its recoveries where they are not determined. */
export function productAccountOf(
  product: ProductInput,
  stream: Stream,
  drawn: StreamDraws & PerformanceDraws,
  leaving: readonly StreamDraws[],
): ProductAccount {
  const performance = performanceAccountOf(drawn, (component) => isMissing(product, component));
  const limits = perComponent((component) => {
    if (performance.recovery[component] !== undefined) return undefined;
    if (leaving.every(({ contentKg }) => contentKg[component] !== undefined)) return undefined;
    return limitsOf(component, drawn, leaving);
  });
  const hasLimits = Object.keys(limits).length > 0;
  return {
    id: product.id,
    name: product.name,
    role: product.role,
    ...streamAccountOf(product, stream, drawn),
    ...performance,
    ...(hasLimits
      ? {
          recoveryBounds: perComponent((component) => limits[component]?.bounds),
          recoveryAmongGraded: perComponent((component) => limits[component]?.among) as PerGraded,
        }
      : {}),
  };
}

function limitsOf(component: Component, product: StreamDraws, leaving: readonly StreamDraws[]) {
  const graded = leaving.filter(({ contentKg }) => contentKg[component] !== undefined);
  const ungraded = leaving.filter(({ contentKg }) => contentKg[component] === undefined);
  const limits = recoveryLimitsOf(component, product, graded, togetherOf(ungraded).massKg);
  const among = estimateOfDrawn(limits?.highest);
  const lowest = estimateOfDrawn(limits?.lowest);
  if (among === undefined || lowest === undefined) return undefined;
  return { among, bounds: { low: lowest.low, high: among.high } };
}

/** All products together, and those of each role that occurs. */
export function groupsOf(
  products: readonly ProductInput[],
  drawn: readonly StreamDraws[],
  feed: StreamDraws,
): Partial<Record<ProductRole | 'all', GroupAccount>> {
  const groups: Partial<Record<ProductRole | 'all', GroupAccount>> = {};
  for (const role of ['all', ...PRODUCT_ROLES] as const) {
    const members = products.flatMap((product, p) => (role === 'all' || product.role === role ? [p] : []));
    if (members.length === 0) continue;
    const together = togetherOf(members.map((p) => drawn[p]!));
    const missing = (component: Graded) => members.every((p) => isMissing(products[p]!, component));
    const dryMassKg = estimateOfDrawn(together.massKg);
    groups[role] = {
      productIds: members.map((p) => products[p]!.id),
      ...(dryMassKg === undefined ? {} : { dryMassKg }),
      massFraction: perGraded((component) => estimateOfDrawn(together.massFraction[component], missing(component))),
      ...performanceAccountOf(performanceOf(together, feed), missing),
    };
  }
  return groups;
}

import type { Graded, ProductRole } from '../material/classes';
import type { AccountDraws } from './account';
import { type Drawn, drawnFrom, ratioOfDrawn } from './drawn';
import { perGraded, type StreamDraws } from './performance';
import type { PerGraded, RunAccount } from './runAccount';

/** Shares of dry mass that components below detection could reach at most; what was detected is not listed. */
export type Ceilings = Readonly<Partial<Record<Graded, number>>>;

/** The ceilings of a stream from its measured shares: the limits that these quote. */
export function ceilingsIn(measured: PerGraded): Ceilings {
  return perGraded((component) => {
    const share = measured[component];
    return share?.belowDetectionLimit === true ? share.high : undefined;
  });
}

/**
 * A stream that holds, in every draw, at least as much of each undetected component as its limit leaves open; best values stay.
 *
 * Draws of an undetected component can lie closer to nothing than counting pieces allows to say. Whatever is worked out from these
 * streams ends where the limit does.
 */
export function raisedTo(stream: StreamDraws, ceilings: Ceilings): StreamDraws {
  if (Object.keys(ceilings).length === 0) return stream;
  const { massKg } = stream;
  return {
    ...stream,
    contentKg: perGraded((component) => {
      const [content, most] = [stream.contentKg[component], ceilings[component]];
      if (content === undefined || massKg === undefined || most === undefined) return content;
      return atLeast(
        content,
        drawnFrom([content, massKg], (own, mass) => Math.max(own, most * mass)),
      );
    }),
    massFraction: perGraded((component) => {
      const [share, most] = [stream.massFraction[component], ceilings[component]];
      if (share === undefined || most === undefined) return share;
      return atLeast(
        share,
        drawnFrom([share], (own) => Math.max(own, most)),
      );
    }),
  };
}

function atLeast({ value }: Drawn, { draws }: Drawn): Drawn {
  return { value, draws };
}

/** The feed with as much more in it as `after` holds more than `before`: what a product holds came in with the feed. */
export function feedWith(feed: StreamDraws, before: StreamDraws, after: StreamDraws): StreamDraws {
  if (before === after) return feed;
  const contentKg = perGraded((component) => {
    const [own, less, more] = [feed.contentKg[component], before.contentKg[component], after.contentKg[component]];
    if (own === undefined || less === undefined || more === undefined || less === more) return own;
    return drawnFrom([own, less, more], (all, a, b) => all - a + b);
  });
  return {
    ...feed,
    contentKg,
    massFraction: perGraded(
      (component) => ratioOfDrawn(contentKg[component], feed.massKg) ?? feed.massFraction[component],
    ),
  };
}

/** One product of an account raised to its limits of detection; the very draws where all was detected. */
export function productCeiling(
  { account, draws }: { readonly account: RunAccount; readonly draws: AccountDraws },
  productId: string,
): StreamDraws {
  const product = account.products.find(({ id }) => id === productId);
  return raisedTo(draws.products[productId]!, ceilingsIn(product?.massFraction.measured ?? {}));
}

/** A run with its draws. */
interface DrawnAccount {
  readonly account: RunAccount;
  readonly draws: AccountDraws;
}

/**
 * A run whose bins of some roles hold, in every draw, at least as much copper as their limits of detection leave open; the very
 * run where their copper was detected.
 */
export function copperRaised({ account, draws }: DrawnAccount, roles: readonly ProductRole[]): DrawnAccount {
  let raised = draws;
  for (const { id, role, massFraction } of account.products) {
    const { copper } = ceilingsIn(massFraction.measured);
    if (copper === undefined || !roles.includes(role)) continue;
    const own = draws.products[id]!;
    const most = raisedTo(own, { copper });
    raised = {
      ...raised,
      feed: feedWith(raised.feed, own, most),
      // its own yield and recoveries stay as they were drawn
      products: { ...raised.products, [id]: { ...own, ...most } },
    };
  }
  return { account, draws: raised };
}

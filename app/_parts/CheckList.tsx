import { deleteCheck } from '@/app/_actions/checkActions';
import { isOfSpread } from '@/lib/grade/checkEntry';
import { checkText } from '@/lib/report/checkText';
import type { KeptCheck } from '@/lib/store/checks';
import { ActionButton } from './ActionButton';

/** Checks on record, each with a button to take it away. */
export function CheckList({
  checks,
  spreads,
}: {
  readonly checks: readonly KeptCheck[];
  readonly spreads: readonly { readonly id: string; readonly number: number }[];
}) {
  if (checks.length === 0) return null;
  return (
    <ul className="lines narrow">
      {checks.map(({ id, entry, spreadId }) => {
        const spread = spreads.find((one) => one.id === spreadId);
        const text = checkText(entry, spread?.number);
        return (
          <li key={id} className="acted-on">
            <p>
              {text}
              {isOfSpread(entry) && spread === undefined ? ' Its spread was removed, so it does not count.' : ''}
            </p>
            <ActionButton action={deleteCheck} id={id} className="button quiet small" label={`Remove: ${text}`}>
              Remove
            </ActionButton>
          </li>
        );
      })}
    </ul>
  );
}

import type { ReactNode } from 'react';

/** A table that scrolls sideways inside its box, by touch and by keyboard. */
export function TableBox({ label, children }: { readonly label: string; readonly children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: the box scrolls, so the keyboard must reach it
    <section className="table-box" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}

'use client';

import type { ReactNode } from 'react';
import { useFormStatus } from 'react-dom';

/** One button that does one thing to the thing named by `id`, and does it once. */
export function ActionButton({
  action,
  id,
  children,
  className = 'button quiet',
}: {
  readonly action: (form: FormData) => Promise<void>;
  readonly id?: string;
  readonly children: ReactNode;
  readonly className?: string;
}) {
  return (
    <form action={action}>
      {id === undefined ? null : <input type="hidden" name="id" value={id} />}
      <Once className={className}>{children}</Once>
    </form>
  );
}

function Once({ className, children }: { readonly className: string; readonly children: ReactNode }) {
  const { pending } = useFormStatus();
  return (
    <button type="submit" className={className} disabled={pending}>
      {children}
    </button>
  );
}

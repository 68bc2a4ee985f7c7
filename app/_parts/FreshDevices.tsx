'use client';

import { useRouter } from 'next/navigation';
import { useEffect } from 'react';
import { listenTo } from './listenTo';

/** Brings the page up to date when a device joins. @param shown - ids on the page, in order */
export function FreshDevices({ shown }: { readonly shown: readonly string[] }) {
  const router = useRouter();
  const onPage = shown.join();
  useEffect(
    () =>
      listenTo<readonly string[]>('/api/devices', (joined) => {
        if (joined.join() !== onPage) router.refresh();
      }),
    [onPage, router],
  );
  return null;
}

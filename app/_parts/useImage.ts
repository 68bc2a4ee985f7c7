'use client';

import { useEffect, useState } from 'react';

/** An image once it has come; undefined before, and while there is no address. */
export function useImage(address: string | undefined): HTMLImageElement | undefined {
  const [image, setImage] = useState<HTMLImageElement | undefined>(undefined);
  useEffect(() => {
    if (address === undefined) return;
    const loading = new Image();
    loading.onload = () => setImage(loading);
    loading.src = address;
    return () => {
      loading.onload = null;
    };
  }, [address]);
  return image;
}

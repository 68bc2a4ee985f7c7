'use client';

import { STORAGE_SENTENCES, storageTroubleOf } from '@/lib/report/storageSentences';

/** When a page cannot be shown: what is safe and what to do. */
export default function PageFailed({
  error,
  reset,
}: {
  readonly error: Error & { readonly digest?: string };
  readonly reset: () => void;
}) {
  const trouble = storageTroubleOf(error.digest);
  return (
    <>
      <h1>{trouble === undefined ? 'This page could not be shown' : 'The data cannot be reached just now'}</h1>
      {trouble === undefined ? (
        <p className="narrow">
          What was saved is safe.{' '}
          {error.digest === undefined
            ? 'Something broke in this browser: try again, and open the page anew if it comes back.'
            : 'The reason stands in the window that Deckside was started from.'}
        </p>
      ) : (
        <p role="alert" className="narrow">
          {STORAGE_SENTENCES[trouble].message} {STORAGE_SENTENCES[trouble].hint}
        </p>
      )}
      <button type="button" className="button main" onClick={reset}>
        Try again
      </button>
    </>
  );
}

'use client';

/** When a page cannot be shown: what is safe and what to do. */
export default function PageFailed({ reset }: { readonly reset: () => void }) {
  return (
    <>
      <h1>This page could not be shown</h1>
      <p>What was saved is safe. The reason stands in the window that Deckside was started from.</p>
      <button type="button" className="button main" onClick={reset}>
        Try again
      </button>
    </>
  );
}

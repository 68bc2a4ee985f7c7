'use client';

import { useRouter } from 'next/navigation';
import { useEffect, useRef, useState } from 'react';
import { progressSentence } from '@/lib/report/sentences';
import type { Progress } from '@/lib/store/progress';

/** Between two looks at how far the reading has come, milliseconds. */
const LOOK_EVERY_MS = 700;

/**
 * Counts photos as they are read, and brings the page up to date whenever the count is no longer the one it was made with:
 * a reading may begin and end between two looks.
 *
 * @param run - count this run's photos only
 * @param initial - as it stood when the page was made
 */
export function ReadingProgress({ run, initial }: { readonly run?: string; readonly initial: Progress }) {
  const router = useRouter();
  const [progress, show] = useState(initial);
  const onPage = useRef(countOf(initial));
  const askedFor = useRef('');
  useEffect(() => {
    onPage.current = countOf(initial);
    askedFor.current = '';
    show(initial);
  }, [initial]);

  useEffect(() => {
    let stopped = false;
    let timer: ReturnType<typeof setTimeout> | undefined;
    async function look() {
      try {
        const answer = await fetch(run === undefined ? '/api/progress' : `/api/progress?run=${run}`);
        if (answer.ok && !stopped) {
          const next: Progress = await answer.json();
          show(next);
          const count = countOf(next);
          // asked once for each count: a page that takes longer than a look is not asked for anew
          if (count !== onPage.current && count !== askedFor.current) {
            askedFor.current = count;
            router.refresh();
          }
        }
      } catch {
        // the server is away for a moment: what was shown stays, the next look tries again
      }
      if (!stopped) timer = setTimeout(look, LOOK_EVERY_MS);
    }
    look();
    return () => {
      stopped = true;
      clearTimeout(timer);
    };
  }, [run, router]);

  if (progress.open === 0) return null;
  const done = progress.photos - progress.open;
  return (
    <div className="note" role="status">
      <p>{progressSentence(progress)}</p>
      <progress value={done} max={progress.photos} aria-label="Photos read" />
    </div>
  );
}

function countOf({ graded, refused, open }: Progress): string {
  return `${graded} ${refused} ${open}`;
}

'use client';

import { useRouter } from 'next/navigation';
import { useEffect, useState } from 'react';
import { progressSentence } from '@/lib/report/sentences';
import type { Progress } from '@/lib/store/progress';

/** Between two looks at how far the reading has come, milliseconds. */
const LOOK_EVERY_MS = 700;

/**
 * Counts photos as they are read, and brings the page up to date whenever one is done.
 *
 * @param run - count this run's photos only
 * @param initial - as it stood when the page was made
 */
export function ReadingProgress({ run, initial }: { readonly run?: string; readonly initial: Progress }) {
  const router = useRouter();
  const [progress, show] = useState(initial);

  useEffect(() => {
    let stopped = false;
    let timer: ReturnType<typeof setTimeout> | undefined;
    let done = -1;
    async function look() {
      try {
        const answer = await fetch(run === undefined ? '/api/progress' : `/api/progress?run=${run}`);
        if (answer.ok && !stopped) {
          const next: Progress = await answer.json();
          const nowDone = next.graded + next.refused;
          show(next);
          if (done >= 0 && nowDone !== done) router.refresh();
          done = nowDone;
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

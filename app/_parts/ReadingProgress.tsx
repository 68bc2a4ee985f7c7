'use client';

import { useRouter } from 'next/navigation';
import { useEffect, useRef, useState } from 'react';
import { resumeReading, stopReading } from '@/app/_actions/queueActions';
import { progressSentence, stoppedSentence } from '@/lib/report/sentences';
import { awaitingMark } from '@/lib/store/pageMark';
import type { Progress } from '@/lib/store/progress';
import { ActionButton } from './ActionButton';
import { listenTo } from './listenTo';

/**
 * Counts photos as they are read, and brings the page up to date whenever what is on record is no longer what the page was
 * made with: every event carries the whole state, so a reading that begins and ends while nobody listens is noticed too.
 *
 * @param run - count this run's photos only
 * @param initial - as it stood when the page was made
 * @param awaited - the name of a result that the page waits for
 */
export function ReadingProgress({
  run,
  initial,
  awaited,
}: {
  readonly run?: string;
  readonly initial: Progress;
  readonly awaited?: string | undefined;
}) {
  const router = useRouter();
  const [progress, show] = useState(initial);
  const mark = awaited === undefined ? initial.mark : awaitingMark(initial.mark, false);
  const onPage = useRef(mark);
  const askedFor = useRef('');
  useEffect(() => {
    onPage.current = mark;
    askedFor.current = '';
    show(initial);
  }, [initial, mark]);

  useEffect(
    () =>
      listenTo<Progress>(addressOf(run, awaited), (next) => {
        show(next);
        // asked once for each state: a page that takes long to come is not asked for anew
        if (next.mark === onPage.current || next.mark === askedFor.current) return;
        askedFor.current = next.mark;
        router.refresh();
      }),
    [run, awaited, router],
  );

  const { open, photos, stopped } = progress;
  const id = run === undefined ? {} : { id: run };
  return (
    <>
      {open === 0 ? null : (
        <div className="note reading">
          <p role="status">{progressSentence(progress)}</p>
          <progress value={photos - open} max={photos} aria-label="Photos read" />
          <ActionButton action={stopReading} {...id} className="button quiet small">
            Stop reading
          </ActionButton>
        </div>
      )}
      {stopped === 0 ? null : (
        <div className="note reading">
          <p>{stoppedSentence(stopped)}</p>
          <ActionButton action={resumeReading} {...id} className="button small">
            Go on reading
          </ActionButton>
        </div>
      )}
    </>
  );
}

function addressOf(run: string | undefined, awaited: string | undefined): string {
  const asked = new URLSearchParams({
    ...(run === undefined ? {} : { run }),
    ...(awaited === undefined ? {} : { awaited }),
  });
  return asked.size === 0 ? '/api/events' : `/api/events?${asked}`;
}

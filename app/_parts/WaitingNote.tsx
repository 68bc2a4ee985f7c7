import { soFarSentence, type UnreadPhotos } from '@/lib/report/sentences';

/** Tells on a page that is slow to work out, and so does not follow every photo, that some still wait. */
export function WaitingNote({ unread }: { readonly unread: UnreadPhotos }) {
  const words = soFarSentence(unread);
  return words === undefined ? null : (
    <div className="note reading">
      <p>{words}</p>
    </div>
  );
}

'use client';

import Link from 'next/link';
import { useState } from 'react';
import { newId } from '@/app/_outbox/newId';
import { addToOutbox } from '@/app/_outbox/outbox';
import { useOutbox } from '@/app/_outbox/useOutbox';
import { shotCountSentence } from '@/lib/report/shotSentences';
import { FileButton } from './FileButton';
import { ShotCheck } from './ShotCheck';

interface Shot {
  readonly file: File;
  readonly photo: string;
  readonly spread: string;
}

/**
 * One bin in front of the camera: shoot, look, then on. One main button at a time: the camera until there is a shot, then the way
 * on, or the camera again where the picture could be better.
 *
 * @param spreads - ids of the photos on record, spread by spread
 */
export function TableShot(props: {
  readonly product: string;
  readonly spreads: readonly (readonly string[])[];
  readonly onwards: { readonly href: string; readonly label: string };
}) {
  const { product, spreads, onwards } = props;
  const { photos } = useOutbox();
  const [shot, setShot] = useState<Shot | undefined>(undefined);
  const [couldBeBetter, setCouldBeBetter] = useState(false);
  const [problem, setProblem] = useState<string | undefined>(undefined);
  const known = new Set(spreads.flat());
  const onTheWay = photos.filter(({ id, place }) => place.product === product && !known.has(id));
  const count = spreads.length + new Set(onTheWay.map(({ place }) => place.spread)).size;

  async function take([file]: readonly File[], again?: Shot): Promise<void> {
    if (file === undefined) return;
    const place = { photo: newId(), product, spread: again?.spread ?? newId() };
    const taken = await addToOutbox(file, again === undefined ? place : { ...place, instead: again.photo });
    if ('unreadable' in taken) return setProblem(taken.unreadable);
    setProblem(undefined);
    setCouldBeBetter(false);
    setShot({ file, photo: taken.id, spread: taken.place.spread });
  }

  return (
    <>
      {problem === undefined ? null : (
        <div className="note refused" role="alert">
          <p>{problem}</p>
        </div>
      )}
      {shot === undefined ? (
        <p className="lead">One layer, inside the field, all four corner marks in view, no shine.</p>
      ) : (
        <ShotCheck key={shot.photo} file={shot.file} judged={setCouldBeBetter}>
          {couldBeBetter ? (
            <Link className="button" href={onwards.href}>
              Keep it. {onwards.label}
            </Link>
          ) : (
            <FileButton label="Take it again" camera take={(files) => take(files, shot)} />
          )}
          <FileButton label="Another spread" camera take={take} />
        </ShotCheck>
      )}
      <p role="status">{shotCountSentence(count)}</p>
      {shot === undefined ? (
        <div className="actions">
          <FileButton label="Choose from this device" take={take} />
          <Link className="button quiet" href={onwards.href}>
            {count === 0 ? 'Go on without a photo' : onwards.label}
          </Link>
        </div>
      ) : null}
      <div className="main-action">
        {shot === undefined ? (
          <FileButton label="Take a photo" camera className="button main" take={take} />
        ) : couldBeBetter ? (
          <FileButton label="Take it again" camera className="button main" take={(files) => take(files, shot)} />
        ) : (
          <Link className="button main" href={onwards.href}>
            {onwards.label}
          </Link>
        )}
      </div>
    </>
  );
}

'use client';

import { useRouter } from 'next/navigation';
import { useRef, useState } from 'react';
import { newId } from './newId';
import { sendPhoto } from './sendPhoto';

interface Upload {
  readonly id: string;
  readonly name: string;
  readonly state:
    | { readonly kind: 'waiting' }
    | { readonly kind: 'sending'; readonly share: number }
    | { readonly kind: 'kept' }
    | { readonly kind: 'failed'; readonly message: string };
}

/**
 * Photos from the camera or from files, many at once; each is sent by itself and says how it fares.
 *
 * @param spread - add to this spread; otherwise each photo becomes a spread of its own
 */
export function UploadPhotos({ product, spread }: { readonly product: string; readonly spread?: string }) {
  const router = useRouter();
  const [uploads, setUploads] = useState<readonly Upload[]>([]);
  const line = useRef<Promise<void>>(Promise.resolve());

  const update = (id: string, state: Upload['state']) =>
    setUploads((all) => all.map((upload) => (upload.id === id ? { ...upload, state } : upload)));

  async function send(id: string, file: File): Promise<void> {
    update(id, { kind: 'sending', share: 0 });
    const place = { photo: id, product, spread: spread ?? newId() };
    const outcome = await sendPhoto(file, place, (share) => update(id, { kind: 'sending', share }));
    update(id, outcome.ok ? { kind: 'kept' } : { kind: 'failed', message: outcome.message });
    if (outcome.ok) router.refresh();
  }

  function take(input: HTMLInputElement): void {
    const files = [...(input.files ?? [])];
    const added = files.map((file) => ({ file, id: newId() }));
    setUploads((all) => [
      ...all,
      ...added.map(({ file, id }) => ({ id, name: file.name, state: { kind: 'waiting' } as const })),
    ]);
    // one after another: a weak link carries one photo whole before two halves
    for (const { file, id } of added) line.current = line.current.then(() => send(id, file));
    input.value = '';
  }

  return (
    <div>
      <div className="upload-inputs">
        <FileButton label="Take a photo" camera take={take} />
        <FileButton label="Choose photos" take={take} />
      </div>
      <ul className="uploads" aria-live="polite">
        {uploads.map((upload) => (
          <li key={upload.id}>
            <UploadLine upload={upload} />
          </li>
        ))}
      </ul>
    </div>
  );
}

function FileButton(props: {
  readonly label: string;
  readonly camera?: boolean;
  readonly take: (input: HTMLInputElement) => void;
}) {
  const { label, camera = false, take } = props;
  return (
    <label className={camera ? 'button main file-button' : 'button file-button'}>
      {label}
      <input
        type="file"
        accept="image/*,.heic,.heif"
        {...(camera ? { capture: 'environment' as const } : { multiple: true })}
        onChange={(event) => take(event.currentTarget)}
      />
    </label>
  );
}

function UploadLine({ upload: { name, state } }: { readonly upload: Upload }) {
  if (state.kind === 'failed') {
    return (
      <div className="note refused">
        <p>
          <strong>{name}</strong>: {state.message}
        </p>
      </div>
    );
  }
  const words = { waiting: 'waits for its turn', sending: 'is being sent', kept: 'is kept' }[state.kind];
  return (
    <>
      <p>
        <strong>{name}</strong> {words}
      </p>
      {state.kind === 'sending' ? <progress value={state.share} max={1} aria-label={`${name} sent`} /> : null}
    </>
  );
}

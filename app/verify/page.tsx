import type { Metadata } from 'next';
import { CheckRecord } from '@/app/_parts/CheckRecord';
import { Trail } from '@/app/_parts/Trail';

export const metadata: Metadata = { title: 'Check a record' };

/** Whether a record's data file and photos still are what was sealed. */
export default function VerifyPage() {
  return (
    <>
      <Trail steps={[{ href: '/records', label: 'Records' }]} />
      <h1>Check a record</h1>
      <p className="narrow">
        Drop the record&rsquo;s data file here, and the original photos if you have them. Nothing of it is kept. The
        same is done by <code>npm run --silent grade -- --verify RECORD.json PHOTO...</code>
      </p>
      <CheckRecord />
    </>
  );
}

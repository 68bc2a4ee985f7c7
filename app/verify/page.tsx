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
				Choose the record&rsquo;s data file, and the original photos if you have them, or drop them here. Nothing of it
				is kept.
			</p>
			<CheckRecord />
			<p className="hint">
				The same on the command line: <code>npm run --silent grade -- --verify RECORD.json PHOTO...</code>
			</p>
		</>
	);
}

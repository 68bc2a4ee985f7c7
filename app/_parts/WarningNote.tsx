import Link from 'next/link';
import type { PhotoWarning } from '@/lib/photo/photoWarning';
import { printSentence } from '@/lib/report/format';

/** One warning about a photo, with the way to the page that says more. */
export function WarningNote({ warning: { code, message } }: { readonly warning: PhotoWarning }) {
	return (
		<div className="caution">
			<p>
				{printSentence(message)}{' '}
				<Link href={`/help/warnings#${code}`} aria-label={`More about this warning: ${code.replaceAll('-', ' ')}`}>
					More about this
				</Link>
			</p>
		</div>
	);
}

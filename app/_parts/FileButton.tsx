'use client';

import { useEffect, useRef } from 'react';

/** A button that opens the phone's camera, or the photos there are. */
export function FileButton(props: {
	readonly label: string;
	readonly camera?: boolean;
	/** Several photos at once; one at a time from the camera. */
	readonly several?: boolean;
	readonly className?: string;
	readonly take: (files: readonly File[]) => void;
}) {
	const { label, camera = false, several = false, className = 'button', take } = props;
	const input = useRef<HTMLInputElement>(null);

	function takeChosen(): void {
		const files = [...(input.current?.files ?? [])];
		if (files.length === 0) return;
		// emptied, so that the same photo can be chosen again
		if (input.current !== null) input.current.value = '';
		take(files);
	}

	// a photo chosen before the page came alive, on a slow phone, is not lost
	const chosenEarly = useRef(takeChosen);
	useEffect(() => chosenEarly.current(), []);

	return (
		<label className={`${className} file-button`}>
			{label}
			<input
				ref={input}
				type="file"
				accept="image/*,.heic,.heif"
				{...(camera ? { capture: 'environment' as const } : {})}
				multiple={several && !camera}
				onChange={takeChosen}
			/>
		</label>
	);
}

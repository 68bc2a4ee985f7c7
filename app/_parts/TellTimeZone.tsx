'use client';

import { useEffect } from 'react';

/** Lets the server know which time zone this device is in, so that what is entered late in the evening is of the day it is here. */
export function TellTimeZone({ known }: { readonly known: string | undefined }) {
	useEffect(() => {
		const { timeZone } = Intl.DateTimeFormat().resolvedOptions();
		if (timeZone === known) return;
		// without a link, the next page tells it
		fetch(`/api/zone?${new URLSearchParams({ name: timeZone })}`, { method: 'PUT' }).catch(() => undefined);
	}, [known]);
	return null;
}

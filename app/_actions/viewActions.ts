'use server';

import { cookies } from 'next/headers';
import { redirect } from 'next/navigation';
import { NUMBER_STYLES } from '@/app/_forms/numberStyles';
import { LOCALE_COOKIE, MASS_COOKIE } from '@/app/_http/presentRequest';
import { MASS_SYSTEMS } from '@/lib/report/presentation';

const YEAR_S = 365 * 24 * 3600;

/** Keep on this device how masses, numbers and days are written. What is not known leaves things as they are. */
export async function saveView(form: FormData): Promise<void> {
	const jar = await cookies();
	const masses = MASS_SYSTEMS.find((one) => one === form.get('masses'));
	const style = NUMBER_STYLES.find(({ value }) => value === form.get('numbers'));
	const keep = { maxAge: YEAR_S, sameSite: 'lax', path: '/' } as const;
	if (masses !== undefined) jar.set(MASS_COOKIE, masses, keep);
	if (style?.value === '') jar.delete(LOCALE_COOKIE);
	else if (style !== undefined) jar.set(LOCALE_COOKIE, style.value, keep);
	redirect('/units?saved=1');
}

import { byLanguage, presentation } from './presentation';

/** A moment as the person who looks writes it, in this machine's time: `5 Mar 2026, 14:20`. @param iso - ISO 8601 */
export function printMoment(iso: string): string {
  return momentWriter(presentation().locale).format(new Date(iso));
}

const momentWriter = byLanguage((tag) => new Intl.DateTimeFormat(tag, { dateStyle: 'medium', timeStyle: 'short' }));

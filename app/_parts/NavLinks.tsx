'use client';

import Link from 'next/link';
import { usePathname } from 'next/navigation';

const LINKS = [
  { href: '/', label: 'Today' },
  { href: '/quick', label: 'Quick check' },
  { href: '/runs', label: 'Runs' },
  { href: '/lots', label: 'Lots' },
  { href: '/compare', label: 'Compare' },
  { href: '/records', label: 'Records' },
  { href: '/mat', label: 'Mat' },
  { href: '/materials', label: 'Materials' },
  { href: '/devices', label: 'Phones' },
  { href: '/method', label: 'Method' },
  { href: '/cautions', label: 'Cautions' },
  { href: '/help', label: 'Help' },
] as const;

/** The pages one can always go to; the one we are on is marked. */
export function NavLinks() {
  const here = usePathname();
  // a shared record stands alone
  if (here.startsWith('/shared/')) return null;
  return (
    <ul>
      {LINKS.map(({ href, label }) => (
        <li key={href}>
          <Link href={href} {...(here === href ? { 'aria-current': 'page' as const } : {})}>
            {label}
          </Link>
        </li>
      ))}
    </ul>
  );
}

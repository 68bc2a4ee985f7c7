/** The help pages in the order of the work. */
export const HELP_PAGES = [
	{ href: '/help/mat', title: 'Print and check the mat', about: 'once per printer' },
	{ href: '/help/running', title: 'Run the table', about: 'wetting, knobs, bins, middlings' },
	{ href: '/help/spreading', title: 'Take a sample and spread it', about: 'where most of the error is' },
	{ href: '/help/shooting', title: 'Shoot it', about: 'light, distance, focus' },
	{ href: '/help/warnings', title: 'What the warnings mean', about: 'and what each does to the figures' },
	{ href: '/help/grade', title: 'How the grade is worked out', about: 'from pixels to a range' },
	{ href: '/help/glossary', title: 'Words of the trade', about: 'one line each' },
	{ href: '/cautions', title: 'Cautions', about: 'hands, water and mains, dust, burning cable' },
] as const;

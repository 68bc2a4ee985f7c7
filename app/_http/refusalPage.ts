import type { Refusal } from './gate';

/** Large enough for a wet finger, in the look of the app, without any file of its own. */
const LOOK = `
:root { color-scheme: light dark; font-family: system-ui, sans-serif; line-height: 1.5; }
body { background: #fbfaf7; color: #17191c; max-width: 40rem; margin: 0 auto; padding: 1.25rem 1rem; }
h1 { line-height: 1.2; }
a { display: inline-block; padding: 0.9rem 1.25rem; border: 2px solid; border-radius: 6px; color: #0b4f6c; font-weight: 600; text-decoration: none; }
a:focus-visible { outline: 3px solid; outline-offset: 2px; }
@media (prefers-color-scheme: dark) { body { background: #14171a; color: #f2f3f4; } a { color: #8fd0ea; } }
`;

/** A refusal as a page that stands by itself, since whoever is refused gets no other file. */
export function refusalPage({ message, hint, way }: Refusal, nonce: string): string {
	const button = way === undefined ? '' : `<p><a href="${way.href}">${way.label}</a></p>`;
	return `<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Deckside</title>
<style nonce="${nonce}">${LOOK}</style>
</head>
<body>
<main>
<h1>${message.replace(/\.$/, '')}</h1>
<p>${hint}</p>
${button}
</main>
</body>
</html>
`;
}

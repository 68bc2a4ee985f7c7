/** What kind of trouble stopped the work; for programs, never shown to people. */
export type TrayErrorCode =
	| 'photo-unreadable'
	| 'photo-too-large'
	| 'surface-missing'
	| 'nothing-spread'
	| 'not-empty'
	| 'number-unreadable'
	| 'not-a-number'
	| 'mass-impossible'
	| 'material-unreadable'
	| 'file-unreadable'
	| 'usage'
	| 'not-found'
	| 'stopped'
	| 'not-allowed'
	| 'busy'
	| 'storage';

/**
 * Thrown by lib when it cannot go on.
 *
 * `code` is for programs, `message` says in a plain sentence what is wrong, `hint` what the person at the tray can do.
 */
export class TrayError extends Error {
	override readonly name = 'TrayError';
	constructor(
		readonly code: TrayErrorCode,
		message: string,
		readonly hint: string,
		options?: ErrorOptions,
	) {
		super(message, options);
	}

	/** The server's build gives pages and routes each a copy of this class: what one of them threw the others must know too. */
	static override [Symbol.hasInstance](thing: unknown): thing is TrayError {
		return thing instanceof Error && thing.name === 'TrayError';
	}
}

/**
 * What a person is told of trouble that was caught: what is wrong, and what to do.
 *
 * @throws the trouble itself where it is no `TrayError` but a fault of the program, which no sentence explains
 */
export function toldOf(trouble: unknown): string {
	if (!(trouble instanceof TrayError)) throw trouble;
	return `${trouble.message} ${trouble.hint}`;
}

/** A passphrase to type; never filled in again. */
export function PassphraseField({
	id,
	label,
	least,
}: {
	readonly id: string;
	readonly label: string;
	readonly least: number;
}) {
	return (
		<div className="field">
			<label htmlFor={id}>
				{label}, {least} characters or more
			</label>
			<input id={id} name="passphrase" type="password" minLength={least} required autoComplete="off" />
		</div>
	);
}

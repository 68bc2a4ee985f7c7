/** A passphrase to type; never filled in again. */
export function PassphraseField({ id, least }: { readonly id: string; readonly least: number }) {
  return (
    <div className="field">
      <label htmlFor={id}>Passphrase, {least} characters or more</label>
      <input id={id} name="passphrase" type="password" minLength={least} required autoComplete="off" />
    </div>
  );
}

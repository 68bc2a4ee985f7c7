/** A link that leads nowhere: the same words whether it never was, has run out or was revoked. */
export default function NothingShared() {
	return (
		<>
			<h1>Nothing found here</h1>
			<p>This link does not lead to a record. Ask whoever gave it to you for a new one.</p>
		</>
	);
}

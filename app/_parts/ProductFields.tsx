import { PRODUCT_ROLES, type ProductRole } from '@/lib/material/classes';
import { ROLE_NAMES } from '@/lib/report/sentences';
import { SelectField, TextField } from './Fields';

/** Name and kind of a product. */
export function ProductFields({
	name = '',
	role = 'concentrate',
}: {
	readonly name?: string;
	readonly role?: ProductRole;
}) {
	return (
		<>
			<TextField name="name" label="Name of the product" hint="As it is written on the bin." initial={name} />
			<SelectField
				name="role"
				label="What kind it is"
				initial={role}
				options={PRODUCT_ROLES.map((value) => ({ value, label: ROLE_NAMES[value] }))}
			/>
		</>
	);
}

import type { Metadata } from 'next';
import Link from 'next/link';
import { deleteProduct, saveProduct } from '@/app/_actions/productActions';
import { ActionButton } from '@/app/_parts/ActionButton';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { ProductFields } from '@/app/_parts/ProductFields';
import { SeenField } from '@/app/_parts/SeenField';
import { Trail } from '@/app/_parts/Trail';
import { getProduct } from '@/lib/store/products';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Change a product' };

/** Rename a product, change its kind, or remove it. */
export default async function ChangeProduct({ params }: PageProps<'/runs/[runId]/products/[productId]/edit'>) {
	const { store } = await theStore();
	const product = await findOr404((await params).productId, (id) => getProduct(store, id));
	const back = `/runs/${product.runId}/products/${product.id}`;
	return (
		<>
			<Trail steps={[{ href: back, label: product.name }]} />
			<h1>Change the product</h1>
			<EntryForm action={saveProduct} submit="Save" beside={<Link href={back}>Leave without saving</Link>}>
				<input type="hidden" name="id" value={product.id} />
				<SeenField entry={{ name: product.name, role: product.role }} />
				<ProductFields name={product.name} role={product.role} />
			</EntryForm>
			<section>
				<h2>Remove it</h2>
				<p>Its weight and photos go out of sight with it; it can be brought back right after.</p>
				<ActionButton action={deleteProduct} id={product.id}>
					Remove this product
				</ActionButton>
			</section>
		</>
	);
}

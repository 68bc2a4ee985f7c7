import { MATERIAL_CLASSES } from '@/lib/material/classes';
import type { Material } from '@/lib/material/material';
import { printQuantity, printQuantityPercent } from '@/lib/report/format';
import { CLASS_NAMES, SHAPE_NAMES } from '@/lib/report/sentences';

/** The figures of a material with their standard uncertainties and sources. */
export function MaterialTable({ material }: { readonly material: Material }) {
	return (
		<>
			<table className="stack">
				<caption>Classes; after ± stands one standard uncertainty</caption>
				<thead>
					<tr>
						<th scope="col">Class</th>
						<th scope="col" className="number">
							Density, kg/m³
						</th>
						<th scope="col" className="number">
							Copper, %
						</th>
						<th scope="col">Shape</th>
						<th scope="col" className="number">
							Thickness over width
						</th>
					</tr>
				</thead>
				<tbody>
					{MATERIAL_CLASSES.map((name) => {
						const { densityKgPerM3, copperFraction, shape } = material.classes[name];
						return (
							<tr key={name}>
								<th scope="row">{CLASS_NAMES[name]}</th>
								<td className="number" data-head="Density, kg/m³">
									{printQuantity(densityKgPerM3)}
								</td>
								<td className="number" data-head="Copper, %">
									{printQuantityPercent(copperFraction)}
								</td>
								<td data-head="Shape">{SHAPE_NAMES[shape.kind]}</td>
								<td className="number" data-head="Thickness over width">
									{printQuantity(shape.factor)}
								</td>
							</tr>
						);
					})}
				</tbody>
			</table>
			<details>
				<summary>Where these figures are from</summary>
				<dl className="figures">
					{MATERIAL_CLASSES.map((name) => (
						<div key={name}>
							<dt>{CLASS_NAMES[name]}</dt>
							<dd>
								{material.classes[name].source}. Thickness: {material.classes[name].shape.source}.
							</dd>
						</div>
					))}
				</dl>
			</details>
		</>
	);
}

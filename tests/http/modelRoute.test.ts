import { expect, test } from 'vitest';
import { GET } from '@/app/api/model/[file]/route';
import { loadPixelModel } from '@/lib/segmentation/pixelModel';

const ask = (file: string) =>
	GET(new Request(`http://127.0.0.1:3000/api/model/${file}`), { params: Promise.resolve({ file }) });

test('a browser is given the files of the model, as their checksum says, and no others', async () => {
	const [modelJson, weights, checksum] = await Promise.all(
		['model.json', 'weights.bin', 'checksum'].map(
			async (file) => new Uint8Array(await (await ask(file)).arrayBuffer()),
		),
	);
	const model = await loadPixelModel({
		modelJson: modelJson!,
		weights: weights!,
		checksum: new TextDecoder().decode(checksum),
	});
	expect(model.scalePxPerMm).toBe(8);
	for (const file of ['weights.planes.br', '../model.json', '']) {
		const refused = await ask(file);
		expect(refused.status, file).toBe(404);
		expect(await refused.json()).toEqual({
			message: 'The pixel model has no such file.',
			hint: 'Load the page again.',
		});
	}
});

import { openStore } from '../../lib/store/database';
import { addLot } from '../../lib/store/lots';
import { DEFAULT_MATERIAL_NAME } from '../../lib/store/materials';
import { listProducts } from '../../lib/store/products';
import { addRun } from '../../lib/store/runs';
import { setSetting } from '../../lib/store/settings';

/** Makes a data directory with one open run and without the demonstration, and says the ids of its run and first product. */
const [lotId, runId] = ['00000000-0000-4000-8000-000000000001', '00000000-0000-4000-8000-000000000002'];
const store = await openStore(process.argv[2] ?? '');
await setSetting(store, 'demoOffered', 'yes');
await addLot(store, lotId, {
	name: 'Lot A',
	source: 'invented',
	receivedMassKg: null,
	receivedUnit: 'kg',
	treatment: '',
	notes: '',
});
await addRun(store, runId, lotId, {
	name: 'Run 1',
	runDate: '2026-03-05',
	settings: {},
	feed: {},
	notes: '',
	material: DEFAULT_MATERIAL_NAME,
});
const [product] = await listProducts(store, runId);
await store.close();
process.stdout.write(JSON.stringify({ runId, productId: product?.id }));

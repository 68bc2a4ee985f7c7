import { openStore } from '../../lib/store/database';

/** Opens a data directory, says so, and holds it until killed. */
await openStore(process.argv[2] ?? '');
process.stdout.write('open\n');
setInterval(() => undefined, 1000);

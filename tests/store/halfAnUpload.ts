import { localFiles } from '../../lib/store/localFiles';
import { keepPhoto } from '../../lib/store/photoFiles';

/** Takes in half a photo, says so, and waits for the rest for ever: to be killed. */
async function* half(): AsyncGenerator<Uint8Array> {
	yield new Uint8Array(100_000);
	process.stdout.write('half\n');
	await new Promise(() => setInterval(() => undefined, 1000));
}

await keepPhoto(localFiles(process.argv[2] ?? ''), half());

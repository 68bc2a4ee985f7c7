/** @type {import('next').NextConfig} */
export default {
	poweredByHeader: false,
	serverExternalPackages: [
		'better-sqlite3',
		'sharp',
		'libheif-js',
		'@tensorflow/tfjs',
		'@tensorflow/tfjs-backend-wasm',
	],
	// pictures are made by the app itself; the framework's own route for them stays shut
	images: { unoptimized: true },
};

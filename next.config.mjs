/** @type {import('next').NextConfig} */
export default {
  poweredByHeader: false,
  serverExternalPackages: ['better-sqlite3', 'sharp', 'libheif-js', '@tensorflow/tfjs', '@tensorflow/tfjs-backend-wasm'],
};

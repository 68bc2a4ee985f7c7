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
  headers: async () => [
    {
      source: '/:path*',
      headers: [
        { key: 'X-Content-Type-Options', value: 'nosniff' },
        { key: 'Referrer-Policy', value: 'same-origin' },
        { key: 'X-Frame-Options', value: 'DENY' },
        { key: 'Cross-Origin-Opener-Policy', value: 'same-origin' },
        {
          key: 'Content-Security-Policy',
          value:
            "default-src 'self'; img-src 'self' blob: data:; style-src 'self' 'unsafe-inline'; script-src 'self' 'unsafe-inline'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'",
        },
      ],
    },
  ],
};

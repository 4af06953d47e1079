import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { defineConfig, type Plugin } from 'vite';
import { contentSecurityPolicy, ISOLATION_HEADERS } from './ui/response-headers.mjs';
import { workletPlugin } from './worklets/vite-plugin-worklet.ts';

const PROJECT = path.dirname(fileURLToPath(import.meta.url));

/** Writes the policy into the built pages too, for whoever serves dist/ without the headers of `npm start`. */
function policyInPages(): Plugin {
  return {
    name: 'cliplead:policy-in-pages',
    apply: 'build',
    transformIndexHtml: (_html, { path: page }) => [
      {
        tag: 'meta',
        attrs: { 'http-equiv': 'Content-Security-Policy', content: contentSecurityPolicy(page) },
        injectTo: 'head-prepend',
      },
    ],
  };
}

export default defineConfig({
  root: path.join(PROJECT, 'ui'),
  base: './',
  plugins: [workletPlugin(), policyInPages()],
  server: { headers: ISOLATION_HEADERS, fs: { allow: [PROJECT] } },
  preview: { headers: ISOLATION_HEADERS },
  build: {
    outDir: path.join(PROJECT, 'dist'),
    emptyOutDir: true,
    // Tone, lit and the engine; 160 kB on the wire.
    chunkSizeWarningLimit: 700,
    target: 'es2022',
    // An inlined asset is a data: address, which connect-src refuses to fetch.
    assetsInlineLimit: 0,
    rollupOptions: {
      input: {
        index: path.join(PROJECT, 'ui/index.html'),
        fallback: path.join(PROJECT, 'ui/fallback.html'),
      },
    },
  },
});

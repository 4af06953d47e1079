import { fileURLToPath } from 'node:url';
import { createServer } from 'vite';

// The script is written in TypeScript, and loads sources of the page, which only the page's build tool can load.
const vite = await createServer({
  configFile: fileURLToPath(new URL('../../vite.config.ts', import.meta.url)),
  appType: 'custom',
  logLevel: 'warn',
  server: { middlewareMode: true, hmr: false, ws: false, watch: null },
  optimizeDeps: { noDiscovery: true },
});
try {
  const { runReliability } = await vite.ssrLoadModule(
    fileURLToPath(new URL('reliability.ts', import.meta.url)),
  );
  process.exitCode = await runReliability(process.argv.slice(2));
} finally {
  await vite.close();
}

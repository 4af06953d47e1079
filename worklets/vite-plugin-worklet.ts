import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import type { Plugin } from 'vite';

const PROJECT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const SUFFIX = '?worklet';
const DEV_PREFIX = '/@worklet/';

interface WorkletBundle {
  readonly code: string;
  /** Absolute paths of every module that went into `code`. */
  readonly inputs: readonly string[];
}

/**
 * Answers `import url from './x.worklet.ts?worklet'` with the address of one classic script that holds the
 * processor and all that it imports.
 *
 * A classic script, because `addModule` takes it in every browser and audioworklet-polyfill can evaluate
 * nothing else; and an address of its own instead of a blob, because the page's content security policy
 * allows scripts from its own origin only.
 *
 * In development the script is bundled for each request; in a build it is an emitted asset. In
 * both, a change of any of its inputs reloads what imports it. A processor that does not compile fails the
 * import with esbuild's message.
 */
export function workletPlugin(): Plugin {
  const entryByAddress = new Map<string, string>();
  let building = false;
  let base = '/';

  return {
    name: 'cliplead:worklet',
    enforce: 'pre',
    configResolved(config) {
      building = config.command === 'build';
      base = config.base;
    },
    configureServer(server) {
      server.middlewares.use((request, response, next) => {
        const address = decodeURI((request.url ?? '').split('?', 1)[0] ?? '');
        const entry = entryByAddress.get(address);
        if (entry === undefined) return next();
        bundleWorklet(entry, false).then(({ code }) => {
          response.setHeader('content-type', 'text/javascript');
          response.setHeader('cache-control', 'no-cache');
          response.end(code);
        }, next);
      });
    },
    async resolveId(source, importer) {
      if (!source.endsWith(SUFFIX)) return null;
      const entry = await this.resolve(source.slice(0, -SUFFIX.length), importer, { skipSelf: true });
      return entry === null ? null : entry.id + SUFFIX;
    },
    async load(id) {
      if (!id.endsWith(SUFFIX)) return null;
      const entry = id.slice(0, -SUFFIX.length);
      const { code, inputs } = await bundleWorklet(entry, building);
      for (const input of inputs) this.addWatchFile(input);
      if (building) {
        const reference = this.emitFile({
          type: 'asset',
          name: `${path.basename(entry, '.ts')}.js`,
          source: code,
        });
        return `export default import.meta.ROLLUP_FILE_URL_${reference};`;
      }
      const address = `${DEV_PREFIX}${path.relative(PROJECT, entry).replaceAll(path.sep, '/')}.js`;
      entryByAddress.set(address, entry);
      return `export default ${JSON.stringify(base + address.slice(1))};`;
    },
  };
}

async function bundleWorklet(entry: string, minify: boolean): Promise<WorkletBundle> {
  const result = await build({
    absWorkingDir: PROJECT,
    entryPoints: [entry],
    bundle: true,
    format: 'iife',
    target: 'es2022',
    charset: 'utf8',
    legalComments: 'none',
    minify,
    keepNames: false,
    sourcemap: minify ? false : 'inline',
    metafile: true,
    write: false,
    logLevel: 'silent',
  });
  return {
    code: result.outputFiles[0]?.text ?? '',
    inputs: Object.keys(result.metafile.inputs).map((input) => path.resolve(PROJECT, input)),
  };
}

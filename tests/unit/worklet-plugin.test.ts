import path from 'node:path';
import { fileURLToPath } from 'node:url';
import vm from 'node:vm';
import { build, createServer, type Rollup } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { workletPlugin } from '../../worklets/vite-plugin-worklet.ts';

const BROWSER_TESTS = fileURLToPath(new URL('../browser/', import.meta.url));
const PAGE = path.join(BROWSER_TESTS, 'page.ts');

interface Processor {
  process(inputs: Float32Array[][], outputs: Float32Array[][]): boolean;
}

/** Runs a classic script with only what AudioWorkletGlobalScope has. */
function registeredProcessors(code: string): Map<string, new () => Processor> {
  const processors = new Map<string, new () => Processor>();
  vm.runInNewContext(code, {
    AudioWorkletProcessor: class {},
    registerProcessor: (name: string, processor: new () => Processor) => processors.set(name, processor),
  });
  return processors;
}

function doubled(code: string, samples: number[]): number[] {
  const Doubling = registeredProcessors(code).get('doubling');
  if (Doubling === undefined) throw new Error('no processor was registered as "doubling"');
  const output = new Float32Array(samples.length);
  new Doubling().process([[Float32Array.from(samples)]], [[output]]);
  return [...output];
}

describe('workletPlugin in a build', () => {
  let files: (Rollup.OutputAsset | Rollup.OutputChunk)[];
  beforeAll(async () => {
    const result = await build({
      configFile: false,
      root: BROWSER_TESTS,
      base: './',
      logLevel: 'silent',
      plugins: [
        workletPlugin(),
        {
          name: 'page',
          resolveId: (id) => (id === PAGE ? PAGE : null),
          load: (id) =>
            id === PAGE
              ? `import url from './doubling.worklet.ts?worklet'; globalThis.doublingUrl = url;`
              : null,
        },
      ],
      build: { write: false, target: 'es2022', rollupOptions: { input: PAGE } },
    });
    files = (result as Rollup.RollupOutput).output;
  });

  function emittedScript(): Rollup.OutputAsset {
    const script = files.find((file) => file.type === 'asset' && file.fileName.includes('doubling'));
    if (script?.type !== 'asset') throw new Error('no asset was emitted for the worklet');
    return script;
  }

  it('writes one classic script that registers the processor and contains its imports', () => {
    const code = String(emittedScript().source);
    expect(code).not.toMatch(/\b(import|export)\b/);
    expect(doubled(code, [0.25, -1])).toEqual([0.5, -2]);
  });

  it('gives the importing page the address of the written script', () => {
    const page = files.find((file) => file.type === 'chunk');
    expect(page?.type === 'chunk' && page.code).toContain(path.basename(emittedScript().fileName));
  });
});

describe('workletPlugin while developing', () => {
  let server: Awaited<ReturnType<typeof createServer>>;
  beforeAll(async () => {
    server = await createServer({
      configFile: false,
      root: BROWSER_TESTS,
      logLevel: 'silent',
      server: { port: 0, host: '127.0.0.1', ws: false, hmr: false },
      optimizeDeps: { noDiscovery: true },
      plugins: [workletPlugin()],
    });
    await server.listen();
  });
  afterAll(() => server.close());

  /** Requests the modules in the order of a browser: first the one that imports. */
  async function addressInModule(): Promise<string> {
    const page = await server.transformRequest('/worklet-address.test.ts');
    const request = page?.code.match(/"([^"]*doubling\.worklet\.ts\?worklet[^"]*)"/)?.[1];
    if (request === undefined) throw new Error(`no import of the worklet in ${page?.code}`);
    const module = await server.transformRequest(request);
    const address = module?.code.match(/export default "([^"]+)"/)?.[1];
    if (address === undefined) throw new Error(`no address in ${module?.code}`);
    return address;
  }

  it('serves the script under its own path', async () => {
    const origin = server.resolvedUrls?.local[0] ?? '';
    const response = await fetch(new URL(await addressInModule(), origin));
    expect(response.headers.get('content-type')).toMatch(/^text\/javascript/);
    expect(doubled(await response.text(), [0.25, -1])).toEqual([0.5, -2]);
  });

  it('watches the files that the processor imports', async () => {
    await addressInModule();
    const factor = path.join(BROWSER_TESTS, 'doubling-factor.ts');
    expect(server.environments.client.moduleGraph.getModulesByFile(factor)?.size ?? 0).toBeGreaterThan(0);
  });
});

import { register } from 'tsx/esm/api';

// The benchmark is written in TypeScript; node 20 needs a loader for it.
register();
const { runBenchmark } = await import('./benchmark.ts');
await runBenchmark(process.argv.slice(2));

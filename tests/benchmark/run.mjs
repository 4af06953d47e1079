import { register } from 'tsx/esm/api';

// The benchmark is TypeScript like the rest; node 20 needs to be taught it.
register();
const { runBenchmark } = await import('./benchmark.ts');
await runBenchmark(process.argv.slice(2));

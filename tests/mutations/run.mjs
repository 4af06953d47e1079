import { register } from 'tsx/esm/api';

// The script is written in TypeScript; node 20 needs a loader for it.
register();
const { runMutations } = await import('./mutations.ts');
process.exitCode = await runMutations(process.argv.slice(2));

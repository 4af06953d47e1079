import { register } from 'tsx/esm/api';

// The script is TypeScript like the rest; node 20 needs to be taught it.
register();
const { runMutations } = await import('./mutations.ts');
process.exitCode = await runMutations(process.argv.slice(2));

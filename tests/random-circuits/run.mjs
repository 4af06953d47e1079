import { register } from 'tsx/esm/api';

// The script is written in TypeScript; node 20 needs a loader for it.
register();
const { runRandomCircuits } = await import('./random-circuits.ts');
process.exitCode = runRandomCircuits(process.argv.slice(2));

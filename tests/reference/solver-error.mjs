import { register } from 'tsx/esm/api';

// The script is written in TypeScript; node 20 needs a loader for it.
register();
const { printSolverError } = await import('./solver-error.ts');
process.exitCode = printSolverError(process.argv.slice(2));

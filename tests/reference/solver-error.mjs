import { register } from 'tsx/esm/api';

// The script is TypeScript like the rest; node 20 needs to be taught it.
register();
const { printSolverError } = await import('./solver-error.ts');
process.exitCode = printSolverError(process.argv.slice(2));

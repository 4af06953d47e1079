import { register } from 'tsx/esm/api';

// The script is written in TypeScript; node 20 needs a loader for it.
register();
const { makeSolvedCases } = await import('./make-solved-cases.ts');
makeSolvedCases();

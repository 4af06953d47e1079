import { register } from 'tsx/esm/api';

// The script is TypeScript like the rest; node 20 needs to be taught it.
register();
const { makeSolvedCases } = await import('./make-solved-cases.ts');
makeSolvedCases();

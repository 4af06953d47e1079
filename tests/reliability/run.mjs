import { register } from 'tsx/esm/api';

// The script is TypeScript like the rest; node 20 needs to be taught it.
register();
const { runReliability } = await import('./reliability.ts');
process.exitCode = await runReliability(process.argv.slice(2));

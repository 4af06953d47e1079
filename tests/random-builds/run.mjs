import { register } from 'tsx/esm/api';

// The script is TypeScript like the rest; node 20 needs to be taught it.
register();
const { runRandomBuilds } = await import('./random-builds.ts');
process.exitCode = runRandomBuilds(process.argv.slice(2));

import { register } from 'tsx/esm/api';

// The script is written in TypeScript; node 20 needs a loader for it.
register();
const { runRandomBuilds } = await import('./random-builds.ts');
process.exitCode = runRandomBuilds(process.argv.slice(2));

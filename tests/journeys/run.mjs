import { register } from 'tsx/esm/api';

// Written in TypeScript; node 20 needs a loader for it.
register();
const { runJourneys } = await import('./run-journeys.ts');
process.exitCode = await runJourneys(process.argv.slice(2));

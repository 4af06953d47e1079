import { register } from 'tsx/esm/api';

// A worker thread starts with a loader of its own; node 20 needs a loader for TypeScript there too.
register();
await import('./spread-worker.ts');

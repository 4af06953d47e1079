#!/usr/bin/env node
import { register } from 'tsx/esm/api';

// The command line is TypeScript like the rest; node 20 needs a loader for it.
register();
await import('./main.ts');
